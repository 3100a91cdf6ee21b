// The main job, three ways: a robot is added, a run is entered, the answer is read, the run is left out and used again,
// taken back, the table is asked.

import assert from 'node:assert/strict';
import { after, before, describe, test } from 'node:test';

import { closePage, endAll, openBrowser, openPage, Server, TRESTLE } from './stage.mjs';

let browser;
before(async () => (browser = await openBrowser()));
after(endAll);

const withServer = async (work) => {
  const server = await Server.start();
  try {
    await work(server);
  } finally {
    await server.end();
  }
};
const sentence = (page) => page.locator('h1').innerText();
const runsOf = async (server) => (await server.ask('GET', 'robots/1')).runs;
const waitFor = async (what, check) => {
  for (let i = 0; i < 200; i += 1) {
    if (await check()) return;
    await new Promise((done) => setTimeout(done, 25));
  }
  assert.fail(`waited in vain: ${what}`);
};

describe('The main job', () => {
  test('by mouse', () =>
    withServer(async (server) => {
      const page = await openPage(browser, server);
      assert.match(await sentence(page), /no robot/);
      await page.getByRole('button', { name: 'Add a robot' }).click();
      await page.getByRole('button', { name: 'Keep this' }).click();
      assert.equal(await page.locator('.fault').count(), 2, 'name and track width are asked for in place');
      await page.getByLabel('Name').fill('Dunlin');
      await page.getByRole('textbox', { name: 'Track width' }).fill('14');
      await page.getByRole('button', { name: 'Keep this' }).click();
      const fault = page.locator('.field', { has: page.getByRole('textbox', { name: 'Track width' }) }).locator('.fault');
      await fault.waitFor();
      assert.match(await fault.innerText(), /centimetres/, 'what the server has against it stands at its field');
      await page.getByRole('textbox', { name: 'Track width' }).fill('14 cm');
      await page.getByRole('button', { name: 'Keep this' }).click();
      await page.getByRole('button', { name: 'Make the next run' }).click();
      assert.match(await sentence(page), /^Lay a tape line at/);
      await page.getByRole('button', { name: 'The tape lies' }).click();
      assert.match(await sentence(page), /^Set the trim to/);
      await page.getByRole('button', { name: 'It has run' }).click();

      // Half-way before the end; a decimal comma; the side as a picture.
      await page.getByRole('radio', { name: 'to the left' }).click();
      await page.getByLabel('How far, mm').fill('8,5');
      await page.getByRole('button', { name: 'Next: the end line' }).click();
      await page.getByLabel('How far, mm').fill('32');
      await page.getByRole('button', { name: 'Save the run' }).click();
      assert.match(await page.locator('.fault').innerText(), /side/);
      await page.getByRole('radio', { name: 'to the left' }).click();
      await page.getByRole('button', { name: 'Save the run' }).click();
      await page.getByRole('button', { name: 'Leave out run 1' }).waitFor();
      await waitFor('the run is at the server', async () => (await runsOf(server)).length === 1);
      const [run] = await runsOf(server);
      assert.deepEqual([run.half_sideways_mm, run.sideways_mm], [8.5, 32]);
      assert.match(await sentence(page), /Dunlin .*left/);
      assert.equal(await page.locator('svg.plot').count(), 1);

      await page.getByRole('button', { name: 'Leave out run 1' }).click();
      await page.getByRole('button', { name: 'Use run 1 again' }).click();
      await page.getByRole('button', { name: 'Leave out run 1' }).waitFor();
      await page.getByRole('button', { name: 'Yes, trim' }).click();
      await page.getByText('Loaded last').waitFor();
      await page.getByRole('button', { name: 'Take back' }).click();
      await page.getByText('Taken back').waitFor();
      await page.getByText('No settings have been noted').waitFor();
      await page.getByRole('button', { name: 'Bring it back' }).click();
      await page.getByText('Loaded last').waitFor();

      // A side that was wrong is mended: the run is entered anew, and the old one left out.
      await page.getByRole('link', { name: 'Mend run 1' }).first().click();
      await page.getByRole('button', { name: 'Next: the end line' }).click();
      await page.getByRole('radio', { name: 'to the right' }).click();
      await page.getByRole('button', { name: 'Save the run' }).click();
      await page.getByRole('button', { name: 'Use run 1 again' }).waitFor();
      const both = await runsOf(server);
      assert.deepEqual(both.map((r) => [r.sideways_mm, r.left_out ?? false]), [[32, true], [-32, false]]);
      await closePage(page);
    }));

  test('by keyboard alone', () =>
    withServer(async (server) => {
      const page = await openPage(browser, server);
      const keys = async (...presses) => {
        for (const key of presses) await page.keyboard.press(key);
      };
      const tabTo = async (role, name) => {
        for (let i = 0; i < 40; i += 1) {
          await page.keyboard.press('Tab');
          if (await page.getByRole(role, { name }).first().evaluate((e) => e === document.activeElement).catch(() => false)) return;
        }
        assert.fail(`no way by Tab to ${name}`);
      };
      await tabTo('button', 'Add a robot');
      await keys('Enter');
      await tabTo('textbox', 'Name');
      await page.keyboard.type('Dunlin');
      await keys('Tab');
      await page.keyboard.type('140');
      await keys('Enter');
      for (const next of ['Make the next run', 'The tape lies', 'It has run']) {
        await page.getByRole('button', { name: next }).waitFor();
        await tabTo('button', next);
        await keys('Enter');
      }
      // The side has the focus: an arrow chooses, Tab leads to the number, Enter goes on.
      await page.getByRole('radio', { name: 'to the right' }).waitFor();
      await keys('ArrowRight', 'Tab');
      await page.keyboard.type('9');
      await keys('Enter');
      await page.getByText('Save the run').waitFor();
      await keys('ArrowRight', 'Tab');
      await page.keyboard.type('35');
      await keys('Enter');
      await page.getByRole('button', { name: 'Leave out run 1' }).waitFor();
      await waitFor('the run is at the server', async () => (await runsOf(server)).length === 1);
      const [run] = await runsOf(server);
      assert.deepEqual([run.half_sideways_mm, run.sideways_mm], [-9, -35]);

      // The start is moved and turned by the arrow keys.
      await server.ask('POST', 'tables', TRESTLE);
      await server.ask('POST', 'lists', { name: 'out', text: 'drive 100 mm\n' });
      await page.goto(`${server.base}/#/forecast`);
      await page.locator('path.model').first().waitFor({ state: 'attached' });
      const startX = page.getByLabel('Start x, mm');
      const was = Number(await startX.inputValue());
      await page.locator('g.start').focus();
      await keys('ArrowRight', 'ArrowRight', 'ArrowUp', 'Shift+ArrowLeft');
      await waitFor('the start is moved and turned', async () => {
        const heading = await page.getByLabel('Heading, degrees').inputValue();
        return Number(await startX.inputValue()) === was + 20 && heading === '5';
      });
      await closePage(page);
    }));

  test('by touch on a phone, with the page’s own keys', () =>
    withServer(async (server) => {
      await server.ask('POST', 'robots', { name: 'Dunlin', track_width_mm: 140, trim_range: [-30, 30] });
      const page = await openPage(browser, server, { size: 'phone' });
      await page.getByRole('button', { name: 'Go to Dunlin' }).tap();
      for (const next of ['Make the next run', 'The tape lies', 'It has run']) await page.getByRole('button', { name: next }).tap();
      for (const [size, next] of [['9', 'Next: the end line'], ['3 4', 'Save the run']]) {
        await page.getByRole('radio', { name: 'to the right' }).tap();
        for (const key of size.split(' ')) await page.getByRole('button', { name: key, exact: true }).tap();
        const pad = await page.getByRole('button', { name: 'one back' }).boundingBox();
        const act = await page.locator('.act').boundingBox();
        assert.ok(pad.y + pad.height <= act.y, 'the keys stand above the main action without scrolling');
        await page.getByRole('button', { name: next }).tap();
      }
      await page.getByRole('button', { name: 'Leave out run 1' }).waitFor();
      await waitFor('the run is at the server', async () => (await runsOf(server)).length === 1);
      const [run] = await runsOf(server);
      assert.deepEqual([run.half_sideways_mm, run.sideways_mm], [-9, -34]);
      await closePage(page);
    }));
});

test('The start is dragged on the table, and the forecast follows', () =>
  withServer(async (server) => {
    await server.ask('POST', 'robots', { name: 'Dunlin', track_width_mm: 140, trim_range: [-30, 30] });
    await server.ask('POST', 'tables', TRESTLE);
    await server.ask('POST', 'lists', { name: 'out', text: 'drive 500 mm\n' });
    const page = await openPage(browser, server, { hash: '#/forecast' });
    await page.locator('path.arrow').waitFor();
    const before = await page.locator('path.arrow').getAttribute('transform');
    const box = await page.locator('g.start .body').boundingBox();
    const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
    await page.mouse.move(x, y);
    await page.mouse.down();
    await page.mouse.move(x + 60, y - 40, { steps: 6 });
    await page.mouse.up();
    await waitFor('the path starts elsewhere', async () => (await page.locator('path.arrow').getAttribute('transform')) !== before);
    assert.notEqual(await page.getByLabel('Start x, mm').inputValue(), '250');

    // What the server has against the list stands at its line; the list can be kept all the same.
    await page.locator('#list-text').fill('drive 100 mm\njump 3\n');
    await page.getByRole('button', { name: /^Line 2/ }).waitFor();
    await page.getByRole('button', { name: 'Keep the list' }).click();
    await page.getByText('The list is kept.').waitFor();
    assert.equal((await server.ask('GET', 'lists/1')).text, 'drive 100 mm\njump 3\n');
    await page.locator('#list-text').fill('drive 100 mm\n');
    await page.getByRole('button', { name: 'Find the safest start' }).click();
    await page.getByText('The safest start was found').waitFor();
    await closePage(page);
  }));
