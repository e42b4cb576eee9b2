/**
 * drive.mjs ADDRESS FOLDER: opens the editor in a headless browser, so that its extension host
 * starts, and waits for the tester's results. Then looks at what is drawn.
 *
 * Needs playwright-core (NODE_PATH does not count for modules: PLAYWRIGHT names its folder) and a
 * Chromium.
 */

import { existsSync, appendFileSync } from 'node:fs';
import { createRequire } from 'node:module';

const [address, folder] = process.argv.slice(2);
const results = process.env.CLIENT_RESULTS;
const patience = 120_000;
const { chromium } = createRequire(`${process.env.PLAYWRIGHT}/`)('playwright-core');

const browser = await chromium.launch({
  executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
  args: ['--no-sandbox', '--disable-gpu', '--disable-dev-shm-usage', '--no-first-run'],
});
let code = 0;
const note = (name, why) => {
  code ||= why ? 1 : 0;
  appendFileSync(results, `${why ? 'FAILED' : 'ok   '} ${name}${why ? `: ${why}` : ''}\n`);
};
try {
  const page = await browser.newPage({ viewport: { width: 1280, height: 900 } });
  page.setDefaultTimeout(patience);
  await page.goto(`${address}/?folder=${encodeURIComponent(folder)}`);
  await page.waitForSelector('.monaco-workbench .part.editor');
  const end = Date.now() + patience;
  while (!existsSync(results)) {
    if (Date.now() > end) throw new Error('the tester wrote no results');
    await page.waitForTimeout(200);
  }
  page.setDefaultTimeout(20_000);
  try {
    await page.waitForSelector('.monaco-editor .squiggly-error');
    const classes = await page.evaluate(
      () => new Set([...document.querySelectorAll('.view-line span[class^=mtk]')].map((s) => s.className)).size,
    );
    note('findings are underlined, words are coloured', classes >= 5 ? undefined : `${classes} colours`);
  } catch (error) {
    note('findings are underlined, words are coloured', error.message.split('\n')[0]);
  }
  if (code) await page.screenshot({ path: `${results}.png` });
} catch (error) {
  note('the editor in a browser', error.message.split('\n')[0]);
  const [page] = browser.contexts()[0]?.pages() ?? [];
  await page?.screenshot({ path: `${results}.png` }).catch(() => {});
} finally {
  await browser.close();
}
process.exit(code);
