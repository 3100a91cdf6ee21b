// page_picture.mjs ADDRESS ROBOT FILE.png: a picture of that robot's page, as chromium shows it on a laptop.
import { createRequire } from 'node:module';

const require = createRequire(new URL('../web/package.json', import.meta.url));
const { chromium } = require('playwright-core');
const [address, robot, file] = process.argv.slice(2);

const browser = await chromium.launch({
  executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
  args: ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking',
    '--disable-component-update', '--disable-sync'],
});
try {
  const page = await browser.newPage({ viewport: { width: 1180, height: 860 }, deviceScaleFactor: 1 });
  await page.goto(address);
  await page.getByText(robot, { exact: false }).first().click();
  await page.getByRole('heading', { name: robot }).first().waitFor();
  await page.waitForTimeout(500); // lets the drawing settle
  await page.screenshot({ path: file });
} finally {
  await browser.close();
}
