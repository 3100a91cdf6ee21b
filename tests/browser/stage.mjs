// What every page test stands on: the program serving an empty set, a browser, and the checks that hold on every page.
//
// RUNTRUE names the executable. A missing browser or executable is a failure, never a skipped test.

import assert from 'node:assert/strict';
import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

const require = createRequire(new URL('../../web/package.json', import.meta.url));
const { chromium } = require('playwright-core');
const axeSource = readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8');

const BROWSER = process.env.CHROMIUM ?? '/usr/bin/chromium';
const FLAGS = ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking', '--disable-component-update', '--disable-sync'];

export const SIZES = {
  laptop: { viewport: { width: 1280, height: 800 } },
  phone: { viewport: { width: 360, height: 740 }, hasTouch: true, isMobile: true },
};

// Servers and browsers still open; ended together after the tests of a file, also after one that failed.
const open = new Set();
export async function endAll() {
  for (const thing of open) await thing.end();
}

// The program on its own record. `port` 0 takes any free one.
export class Server {
  static async start({ folder = mkdtempSync(join(tmpdir(), 'runtrue-page-')), port = 0, lan = false } = {}) {
    const program = process.env.RUNTRUE;
    assert.ok(program && existsSync(program), `RUNTRUE must name the executable, is ${program}`);
    const server = new Server();
    open.add(server);
    server.folder = folder;
    const args = ['serve', '--data', join(folder, 'set.sqlite'), '--port', String(port), ...(lan ? ['--lan'] : [])];
    server.process = spawn(program, args, { stdio: ['ignore', 'pipe', 'inherit'] });
    let said = '';
    server.process.stdout.on('data', (bytes) => (said += bytes));
    for (let i = 0; i < 400 && !/http:\/\/\S+/.test(said); i += 1) {
      assert.equal(server.process.exitCode, null, `the server ended at once, having said: ${said}`);
      await new Promise((done) => setTimeout(done, 25));
    }
    const found = /http:\/\/[^\s:]+:(\d+)/.exec(said);
    assert.ok(found, `no address in what the server said: ${said}`);
    server.port = Number(found[1]);
    server.base = `http://127.0.0.1:${server.port}`;
    if (lan) {
      for (let i = 0; i < 80 && !/Join code: (\S+)/.test(said); i += 1) await new Promise((done) => setTimeout(done, 25));
      server.joinCode = /Join code: (.+)/.exec(said)[1].trim();
    }
    return server;
  }
  async ask(method, path, body) {
    const response = await fetch(`${this.base}/api/${path}`, {
      method,
      ...(method === 'GET' ? {} : { headers: { 'Content-Type': 'application/json' }, body: JSON.stringify(body ?? {}) }),
    });
    const answer = await response.json();
    assert.ok(response.ok, `${method} ${path}: ${JSON.stringify(answer)}`);
    return answer;
  }
  async stop() {
    if (this.process.exitCode !== null) return;
    this.process.kill('SIGTERM');
    await once(this.process, 'exit');
  }
  async end() {
    open.delete(this);
    await this.stop();
    rmSync(this.folder, { recursive: true, force: true });
  }
}

export async function openBrowser() {
  assert.ok(existsSync(BROWSER), `${BROWSER} must be there: these tests need a browser`);
  const browser = await chromium.launch({ executablePath: BROWSER, headless: true, args: FLAGS });
  open.add({ end: () => browser.close() });
  return browser;
}

// A page that fails its test when it reports an error, or asks anything of another address than the server's.
export async function openPage(browser, server, { size = 'laptop', scheme = 'light', hash = '#/' } = {}) {
  const context = await browser.newContext({ ...SIZES[size], colorScheme: scheme, reducedMotion: 'reduce', bypassCSP: true });
  context.setDefaultTimeout(10000);
  const page = await context.newPage();
  page.faults = [];
  page.expectLost = false;
  page.on('pageerror', (error) => page.faults.push(String(error)));
  page.on('console', (message) => {
    // A refusal (4xx) is an answer that the page shows in place; the browser notes it here all the same.
    const refused = /status of 4\d\d/.test(message.text());
    if (message.type() === 'error' && !refused && !page.expectLost) page.faults.push(message.text());
  });
  page.on('request', (request) => {
    const url = request.url();
    if (!url.startsWith(server.base) && !url.startsWith('data:')) page.faults.push(`asked ${url}`);
  });
  await page.goto(`${server.base}/${hash}`);
  await page.locator('h1').waitFor();
  return page;
}
export async function closePage(page) {
  assert.deepEqual(page.faults, []);
  await page.context().close();
}

// No violation of any rule of axe, nothing wider than the screen, and every target at least 44 px high and wide, where it
// isn't part of a sentence.
export async function checkPage(page, name) {
  await page.evaluate(axeSource);
  const found = await page.evaluate(() => globalThis.axe.run(document, { resultTypes: ['violations'] }));
  const faults = found.violations.map((v) => `${name}: ${v.id}: ${v.help}: ${v.nodes.map((n) => n.html.slice(0, 120)).join(' | ')}`);
  assert.deepEqual(faults, []);
  const wide = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
  assert.ok(wide <= 0, `${name}: ${wide} px wider than the screen`);
  const small = await page.evaluate(() =>
    [...document.querySelectorAll('button, a, input, select, textarea, summary')]
      .filter((e) => e.checkVisibility())
      // A radio and a tick are as large as their label.
      .map((e) => [e, (['radio', 'checkbox'].includes(e.type) ? e.closest('label') : e).getBoundingClientRect()])
      .filter(([, box]) => box.width > 0 && (box.height < 43.5 || box.width < 43.5))
      .map(([e, box]) => `${e.outerHTML.slice(0, 80)}: ${Math.round(box.width)} x ${Math.round(box.height)}`),
  );
  assert.deepEqual(small, [], `${name}: targets under 44 px`);
}

// What another scheme of colours can change: the contrasts alone.
export async function checkDark(page, name) {
  await page.emulateMedia({ colorScheme: 'dark' });
  const found = await page.evaluate(() => globalThis.axe.run(document, { runOnly: ['color-contrast'], resultTypes: ['violations'] }));
  assert.deepEqual(found.violations.flatMap((v) => v.nodes.map((n) => `${name}, dark: ${v.help}: ${n.html.slice(0, 120)}`)), []);
}

export const DUNLIN = { name: 'Dunlin', track_width_mm: 140, trim_range: [-30, 30] };
export const TRESTLE = {
  name: 'trestle',
  edge_mm: [[0, 0], [1520, 0], [1520, 760], [0, 760]],
  walled: false,
  obstacles: [{ name: 'mug', centre_mm: [900, 500], radius_mm: 45 }],
};

// A set with something of every kind: one robot with three runs (the last misread), one without, a table, a list.
export async function fillSet(server) {
  const dunlin = (await server.ask('POST', 'robots', DUNLIN)).id;
  const knot = (await server.ask('POST', 'robots', { ...DUNLIN, name: 'Knot' })).id;
  const straight = (trim, half, end) => ({ kind: 'straight', level: 128, trim, half_line_mm: 700, half_sideways_mm: half, line_mm: 1400, sideways_mm: end });
  const runs = [straight(0, -15, -64), straight(10, 14, 49), straight(0, -17, -62), straight(5, 0, -5), straight(5, -16, 59)];
  for (const [i, run] of runs.entries()) await server.ask('POST', `robots/${dunlin}/runs`, { ...run, key: `filled-${i}` });
  await server.ask('POST', `robots/${dunlin}/runs`, { kind: 'turn', level: 128, trim: 5, seconds: 1, turned_deg: 88, key: 'filled-turn' });
  const table = (await server.ask('POST', 'tables', TRESTLE)).id;
  const list = (await server.ask('POST', 'lists', { name: 'square', text: '4 times\n  drive 20 cm\n  turn left 90 deg\nend\n' })).id;
  return { dunlin, knot, table, list };
}
