// What happens elsewhere is seen here; what is typed while the connection is gone isn't lost; who joins must know the code.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';

import { closePage, endAll, fillSet, openBrowser, openPage, Server } from './stage.mjs';

let browser;
before(async () => (browser = await openBrowser()));
after(endAll);

test('A run entered on one page is on the other at once', async () => {
  const server = await Server.start();
  const { knot } = await fillSet(server);
  const here = await openPage(browser, server, { hash: `#/robot/${knot}/run`, size: 'phone' });
  const there = await openPage(browser, server, { hash: `#/robot/${knot}` });
  const set = await openPage(browser, server);
  const before = await there.locator('h1').innerText();
  for (const next of ['The tape lies', 'It has run']) await here.getByRole('button', { name: next }).tap();
  for (const next of ['Next: the end line', 'Save the run']) {
    await here.getByRole('radio', { name: 'to the right' }).tap();
    await here.getByRole('button', { name: '7', exact: true }).tap();
    await here.getByRole('button', { name: next }).tap();
  }
  await there.getByRole('button', { name: 'Leave out run 1' }).waitFor({ timeout: 2000 });
  assert.notEqual(await there.locator('h1').innerText(), before);
  await set.locator('li.truing', { hasText: 'Knot' }).waitFor({ timeout: 2000 });
  for (const page of [here, there, set]) await closePage(page);
  await server.end();
});

test('A run typed while the server is away is kept over a reload and arrives once when it is back', async () => {
  let server = await Server.start();
  const { knot } = await fillSet(server);
  const page = await openPage(browser, server, { hash: `#/robot/${knot}/run` });
  page.expectLost = true;
  await server.stop();
  await page.getByText('No connection at the moment').waitFor();
  for (const next of ['The tape lies', 'It has run']) await page.getByRole('button', { name: next }).click();
  for (const [size, next] of [['8', 'Next: the end line'], ['33', 'Save the run']]) {
    await page.getByRole('radio', { name: 'to the left' }).click();
    await page.getByLabel('How far, mm').fill(size);
    await page.getByRole('button', { name: next }).click();
  }
  await page.getByText('1 run waits on this device').waitFor();
  await page.getByText('not sent yet').waitFor();

  server = await Server.start({ folder: server.folder, port: server.port });
  await page.reload();
  await page.getByRole('button', { name: 'Leave out run 1' }).waitFor({ timeout: 15000 });
  await page.reload();
  await page.getByRole('button', { name: 'Leave out run 1' }).waitFor();
  const { runs } = await server.ask('GET', `robots/${knot}`);
  assert.deepEqual(runs.map((run) => run.sideways_mm), [33]);
  assert.equal(await page.getByText('waits on this device').count(), 0);
  await closePage(page);
  await server.end();
});

test('An open page finds the server again by itself', async () => {
  let server = await Server.start();
  await fillSet(server);
  const page = await openPage(browser, server);
  page.expectLost = true;
  await server.stop();
  await page.getByText('No connection at the moment').waitFor();
  server = await Server.start({ folder: server.folder, port: server.port });
  await page.getByText('No connection at the moment').waitFor({ state: 'detached', timeout: 15000 });
  await server.ask('POST', 'robots', { name: 'Whimbrel', track_width_mm: 140, trim_range: [-30, 30] });
  await page.getByText('Whimbrel').first().waitFor({ timeout: 5000 });
  await closePage(page);
  await server.end();
});

test('A set in the network asks for its code first', async () => {
  const server = await Server.start({ lan: true });
  const page = await openPage(browser, server, { size: 'phone' });
  page.expectLost = true;
  await page.getByLabel('Code').fill('WRONG1');
  await page.getByRole('button', { name: 'Join' }).tap();
  await page.locator('.fault').waitFor();
  await page.getByLabel('Code').fill(server.joinCode);
  await page.getByRole('button', { name: 'Join' }).tap();
  await page.getByText('There is no robot in the set yet').waitFor();
  await closePage(page);
  await server.end();
});

test('A robot whose adding is taken back is said to be gone', async () => {
  const server = await Server.start();
  const { change, id } = await server.ask('POST', 'robots', { name: 'Ruff', track_width_mm: 140, trim_range: [-30, 30] });
  const page = await openPage(browser, server, { hash: `#/robot/${id}` });
  await server.ask('POST', 'undo', { expected: change });
  await page.getByRole('heading', { name: 'There is no robot' }).waitFor();
  await closePage(page);
  await server.end();
});
