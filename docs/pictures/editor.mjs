/** editor.mjs ADDRESS FOLDER FILE PICTURE: takes the picture; see make-editor. */

import { createRequire } from 'node:module';

const [address, folder, file, picture] = process.argv.slice(2);
const { chromium } = createRequire(`${process.env.PLAYWRIGHT}/`)('playwright-core');
const browser = await chromium.launch({
  executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
  args: ['--no-sandbox', '--disable-gpu', '--disable-dev-shm-usage', '--no-first-run'],
});
try {
  const page = await browser.newPage({ viewport: { width: 1180, height: 940 }, deviceScaleFactor: 1.5 });
  page.setDefaultTimeout(30_000);
  await page.goto(`${address}/?folder=${encodeURIComponent(folder)}`);
  await page.waitForSelector('.monaco-workbench .part.editor');
  // The side bar, unless it is hidden already.
  const side = page.locator('.part.sidebar');
  if (await side.isVisible()) await page.keyboard.press('Control+B');
  await page.keyboard.press('Control+P');
  await page.waitForSelector('.quick-input-widget', { state: 'visible' });
  await page.keyboard.type(file, { delay: 30 });
  await page.locator('.quick-input-list .monaco-list-row', { hasText: file }).first().click();
  await page.waitForSelector('.monaco-editor .view-line');
  await page.keyboard.press('Control+G');
  await page.waitForSelector('.quick-input-widget', { state: 'visible' });
  await page.keyboard.type('43');
  await page.keyboard.press('Enter');
  await page.waitForSelector('.monaco-editor .squiggly-error');
  // Figures at the ends of lines.
  await page.waitForFunction(() => /117.h/.test(document.querySelector('.view-lines')?.textContent ?? ''));
  await page.addStyleTag({ content: '.cursors-layer { display: none; }' });
  const contact = page.locator('.view-line span', { hasText: /^relay1$/ }).last();
  await contact.hover();
  await page.waitForSelector('.monaco-hover:not(.hidden)', { state: 'visible' });
  // The pointer stays; what is drawn settles.
  await page.waitForFunction(() => {
    const now = document.querySelector('.monaco-hover:not(.hidden)')?.getBoundingClientRect().height;
    const same = now && globalThis.before === now;
    globalThis.before = now;
    return same;
  }, undefined, { polling: 400 });
  // From the controller to the end of what is told, without the edges of the window.
  const area = await page.locator('.editor-container .monaco-editor').first().boundingBox();
  const first = await page.locator('.view-line', { hasText: /^controller/ }).first().boundingBox();
  const told = await page.locator('.monaco-hover:not(.hidden)').first().boundingBox();
  const clip = {
    x: area.x,
    y: first.y - 4,
    width: told.x + told.width + 24 - area.x,
    height: told.y + told.height + 12 - first.y,
  };
  await page.screenshot({ path: picture, clip });
} catch (error) {
  const [page] = browser.contexts()[0].pages();
  await page.screenshot({ path: `${picture}.failed.png` });
  throw error;
} finally {
  await browser.close();
}
