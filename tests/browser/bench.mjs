// How long after opening the page stands drawn, with the processor slowed to a quarter: RUNTRUE=... node bench.mjs
// Prints the median and the slowest of ten for the set page and for a robot with runs; nothing is judged here.

import { endAll, fillSet, openBrowser, Server, SIZES } from './stage.mjs';

const TIMES = 10;
const SLOWER = 4;

const server = await Server.start();
const ids = await fillSet(server);
const browser = await openBrowser();
for (const [name, hash, drawn] of [
  ['set', '#/', '.robots li'],
  ['robot', `#/robot/${ids.dunlin}`, 'svg.strip'],
  ['table', '#/forecast', 'path.stipple'],
]) {
  const times = [];
  for (let i = 0; i < TIMES; i += 1) {
    const context = await browser.newContext({ ...SIZES.phone });
    const page = await context.newPage();
    const tools = await context.newCDPSession(page);
    await tools.send('Emulation.setCPUThrottlingRate', { rate: SLOWER });
    const begun = performance.now();
    await page.goto(`${server.base}/${hash}`, { waitUntil: 'commit' });
    await page.locator(drawn).first().waitFor({ state: 'attached' });
    await page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));
    times.push(performance.now() - begun);
    await context.close();
  }
  times.sort((a, b) => a - b);
  console.log(`${name}: drawn after ${Math.round(times[TIMES / 2])} ms in the median, ${Math.round(times[TIMES - 1])} ms at worst (processor ${SLOWER} times slower, new browser profile each time)`);
}
await endAll();
