// node check.js FOLDER...: the papers in each folder against html-validate, axe-core in Chromium
// (light, dark, without scripts of their own), and print to A4 and Letter without a cut table.
'use strict';
const fs = require('fs');
const path = require('path');
const { HtmlValidate, FileSystemConfigLoader, esmResolver } = require('html-validate');
const { chromium } = require('playwright-core');

const axe = fs.readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8');
const chromiumPath = process.env.CHROMIUM || '/usr/bin/chromium';
const flags = ['--headless', '--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run',
  '--disable-background-networking', '--disable-component-update', '--disable-sync'];
let faults = 0;
const fault = (text) => { faults += 1; console.log(`  fault: ${text}`); };

async function validate(file) {
  const config = JSON.parse(fs.readFileSync(path.join(__dirname, '.htmlvalidate.json'), 'utf8'));
  const report = await new HtmlValidate(config).validateFile(file);
  for (const result of report.results) {
    for (const message of result.messages.slice(0, 10)) {
      fault(`html-validate: ${message.ruleId}, line ${message.line}: ${message.message}`);
    }
  }
  console.log(`  html-validate: ${report.errorCount} errors, ${report.warningCount} warnings`);
}

async function accessible(browser, file, colorScheme) {
  const page = await browser.newPage({ colorScheme });
  const asked = [];
  page.on('request', (request) => asked.push(request.url()));
  await page.goto('file://' + file);
  if (asked.length !== 1) fault(`it asks for other things: ${asked.slice(1).join(' ')}`);
  await page.evaluate(axe);
  const found = await page.evaluate(() => axe.run({ resultTypes: ['violations'] }));
  for (const one of found.violations) {
    fault(`axe (${colorScheme}): ${one.id}, ${one.impact}, ${one.nodes.length} times: ${one.nodes[0].html.slice(0, 200)}`);
  }
  console.log(`  axe ${found.testEngine.version}, ${colorScheme}: ${found.violations.length} violations, ${found.passes.length} rules passed`);
  await page.close();
}

// Nothing is wider than the paper, and no row is taller than a page.
async function prints(browser, file, format, [width, height]) {
  const context = await browser.newContext({ javaScriptEnabled: true, viewport: { width, height } });
  const page = await context.newPage();
  await page.emulateMedia({ media: 'print' });
  await page.goto('file://' + file);
  const wrong = await page.evaluate(([width, height]) => {
    const out = [];
    for (const one of document.querySelectorAll('table, figure svg, p, h2, h3')) {
      const box = one.getBoundingClientRect();
      if (box.right > width + 1) out.push(`${one.tagName} ${one.getAttribute('aria-labelledby') || ''} is ${Math.round(box.right)} wide`);
    }
    for (const one of document.querySelectorAll('tr, figure svg')) {
      const box = one.getBoundingClientRect();
      if (box.height > height) out.push(`${one.tagName} is ${Math.round(box.height)} tall: ${one.textContent.slice(0, 60)}`);
    }
    return out;
  }, [width, height]);
  wrong.slice(0, 10).forEach((text) => fault(`${format}: ${text}`));
  const pdf = await page.pdf({ format, tagged: true, preferCSSPageSize: true });
  const folder = process.env.PDF_FOLDER;
  if (folder) fs.writeFileSync(path.join(folder, `${path.basename(path.dirname(file))}-${format}.pdf`), pdf);
  console.log(`  ${format}: printed, ${pdf.length} bytes`);
  await context.close();
}

(async () => {
  const browser = await chromium.launch({ executablePath: chromiumPath, args: flags });
  for (const folder of process.argv.slice(2)) {
    const file = path.resolve(folder, 'papers.html');
    console.log(file);
    await validate(file);
    for (const scheme of ['light', 'dark']) await accessible(browser, file, scheme);
    // The page on its side less its margins (12 mm and 11 mm), in px of 1/96 inch.
    await prints(browser, file, 'A4', [1032, 710]);
    await prints(browser, file, 'Letter', [965, 733]);
  }
  await browser.close();
  console.log(faults === 0 ? 'no faults' : `${faults} faults`);
  process.exit(faults === 0 ? 0 : 1);
})().catch((error) => { console.error(error); process.exit(2); });
