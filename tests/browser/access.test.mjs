// Every page in every state, light and dark, on a laptop and on a phone: no rule of axe broken, nothing cut off, targets
// large enough; also with letters twice as large.

import assert from 'node:assert/strict';
import { after, before, describe, test } from 'node:test';

import { checkDark, checkPage, closePage, DUNLIN, endAll, fillSet, openBrowser, openPage, Server, SIZES, TRESTLE } from './stage.mjs';

let browser;
let server;
let ids;
before(async () => {
  browser = await openBrowser();
  server = await Server.start();
  ids = await fillSet(server);
});
after(endAll);


// Each is a way to a state, from a fresh page.
const STATES = {
  'the set': { hash: () => '#/' },
  'a new robot': { hash: () => '#/robot/new' },
  'a new robot with faults': { hash: () => '#/robot/new', then: (page) => page.getByRole('button', { name: 'Keep this' }).click() },
  'a robot with runs': { hash: () => `#/robot/${ids.dunlin}` },
  'a robot with all opened': {
    hash: () => `#/robot/${ids.dunlin}`,
    then: (page) => page.evaluate(() => document.querySelectorAll('details').forEach((d) => (d.open = true))),
  },
  'a robot without runs': { hash: () => `#/robot/${ids.knot}` },
  'its description': { hash: () => `#/robot/${ids.dunlin}/describe` },
  'where the tape goes': { hash: () => `#/robot/${ids.knot}/run` },
  'what to set': { hash: () => `#/robot/${ids.dunlin}/run` },
  'entering a run with faults': {
    hash: () => `#/robot/${ids.knot}/run`,
    then: async (page) => {
      for (const next of ['The tape lies', 'It has run', 'Next: the end line']) await page.getByRole('button', { name: next }).click();
    },
  },
  'entering a turn': {
    hash: () => `#/robot/${ids.knot}/run`,
    then: async (page) => {
      await page.getByText('How it was run').click();
      await page.getByLabel('What was measured').selectOption({ label: 'turn on the spot' });
      await page.getByRole('button', { name: 'It has run' }).click();
    },
  },
  'the table': { hash: () => '#/forecast', ready: 'path.model' },
  'the table with all opened': {
    hash: () => '#/forecast',
    ready: 'path.model',
    then: (page) => page.evaluate(() => document.querySelectorAll('details').forEach((d) => (d.open = true))),
  },
  'a list with faults': {
    hash: () => '#/forecast',
    then: async (page) => {
      await page.locator('#list-text').fill('drive 100 mm\njump\n');
      await page.getByRole('button', { name: /^Line 2/ }).waitFor();
    },
  },
};

for (const size of Object.keys(SIZES)) {
  describe(`On a ${size}, light and dark`, () => {
    for (const [name, { hash, ready, then }] of Object.entries(STATES)) {
      test(name, async () => {
        const page = await openPage(browser, server, { size, hash: hash() });
        if (ready) await page.locator(ready).first().waitFor({ state: 'attached' });
        await then?.(page);
        await checkPage(page, name);
        await checkDark(page, name);
        await closePage(page);
      });
    }
  });
}

test('With letters twice as large nothing is cut off', async () => {
  for (const hash of ['#/', `#/robot/${ids.dunlin}`, `#/robot/${ids.dunlin}/run`, '#/robot/new', '#/forecast']) {
    const page = await openPage(browser, server, { hash });
    // A browser zoomed to 200 % lays the page out in half as many pixels.
    await page.setViewportSize({ width: 640, height: 400 });
    await checkPage(page, `${hash} at 200 %`);
    await closePage(page);
  }
});

test('An empty set says on each page what comes first', async () => {
  const empty = await Server.start();
  const say = async (hash, sentence) => {
    const page = await openPage(browser, empty, { size: 'phone', hash });
    await page.getByRole('heading', { name: sentence }).waitFor();
    await checkPage(page, `${hash}: ${sentence}`);
    await closePage(page);
  };
  await say('#/', 'There is no robot in the set yet');
  await say('#/forecast', 'Add a robot first');
  await empty.ask('POST', 'robots', DUNLIN);
  await say('#/forecast', 'Measure the table first');
  await empty.ask('POST', 'tables', TRESTLE);
  await say('#/forecast', 'Write a list of moves first');
  await empty.end();
});

test('Without a connection the page says so, and breaks no rule', async () => {
  const away = await Server.start();
  const page = await openPage(browser, away);
  page.expectLost = true;
  await away.end();
  await page.getByText('No connection at the moment').waitFor();
  await checkPage(page, 'lost');
  await closePage(page);
});

test('The page to join breaks no rule', async () => {
  const lan = await Server.start({ lan: true });
  for (const size of Object.keys(SIZES)) {
    const page = await openPage(browser, lan, { size });
    await page.getByLabel('Code').waitFor();
    await checkPage(page, 'join');
    assert.equal(await page.locator('button.main').innerText(), 'Join');
    await closePage(page);
  }
  await lan.end();
});
