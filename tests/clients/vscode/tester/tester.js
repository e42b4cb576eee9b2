/**
 * Runs beside our extension in the editor's own extension host and asks the editor for what the
 * extension provides. What was found is written to CLIENT_RESULTS.
 */

const fs = require('node:fs');
const path = require('node:path');
const vscode = require('vscode');

const patience = Number(process.env.CLIENT_PATIENCE ?? 20000);

exports.activate = async () => {
  const folder = process.env.CLIENT_SITE;
  const results = process.env.CLIENT_RESULTS;
  if (!folder || !results || fs.existsSync(results)) return;
  const expected = JSON.parse(
    fs.readFileSync(path.join(process.env.CLIENT_HOME, 'expected.json'), 'utf8'),
  );
  const found = [];
  try {
    await all(folder, expected, found);
  } catch (error) {
    found.push(`FAILED the tester itself: ${error.stack}`);
  }
  // In one step, so that nobody reads half of it.
  fs.writeFileSync(`${results}.part`, `${found.join('\n')}\n`);
  fs.renameSync(`${results}.part`, results);
};

async function all(folder, expected, found) {
  const uri = (file) => vscode.Uri.file(path.join(folder, file));
  const site = uri(expected.site);
  const parts = uri(expected.parts);
  const document = await vscode.workspace.openTextDocument(site);
  await vscode.window.showTextDocument(document);

  const check = async (name, run) => {
    try {
      await run();
      found.push(`ok    ${name}`);
    } catch (error) {
      found.push(`FAILED ${name}: ${error.message}`);
    }
  };
  const rules = () =>
    vscode.languages
      .getDiagnostics(site)
      .map((told) => `${told.range.start.line + 1} ${told.code?.value ?? told.code}`)
      .sort();
  const has = (rule) => rules().some((told) => told.endsWith(` ${rule}`));
  const place = (at) => {
    const offset = document.getText().indexOf(at[0]);
    if (offset < 0) throw new Error(`\`${at[0]}\` is not in the file`);
    return document.positionAt(offset + at[1]);
  };
  const ask = (provider, ...more) => vscode.commands.executeCommand(`vscode.${provider}`, site, ...more);
  const line = (number) => document.lineAt(number - 1).text;

  await check('the file has its language', async () => {
    if (document.languageId !== 'curtilage') throw new Error(document.languageId);
  });

  await check('diagnostics with rule and line', async () => {
    const want = expected.diagnostics.map((told) => `${told.line} ${told.rule}`);
    await wait('diagnostics', () => rules().length >= want.length);
    if (rules().join() !== want.join()) throw new Error(rules().join());
    const [first] = vscode.languages.getDiagnostics(site);
    if (!first.relatedInformation?.length) throw new Error('no other places are told');
    if (!first.code?.target) throw new Error('no page of the rule is linked');
  });

  await check('hover', async () => {
    for (const hover of expected.hover) {
      const answers = await ask('executeHoverProvider', place(hover.at));
      const text = answers.flatMap((answer) => answer.contents.map((c) => c.value ?? c)).join('\n');
      if (!text.includes(hover.says)) throw new Error(`${hover.at[0]} says ${text}`);
    }
  });

  await check('completion', async () => {
    for (const complete of expected.complete) {
      const answer = await ask('executeCompletionItemProvider', place(complete.at));
      const labels = answer.items.map((item) => item.label.label ?? item.label);
      const offered = (word) => labels.some((label) => label === word || label.endsWith(`.${word}`));
      if (!offered(complete.offers)) throw new Error(`not offered: ${labels.join(' ')}`);
      if (offered(complete.hides)) throw new Error(`offered: ${labels.join(' ')}`);
    }
  });

  await check('definition in another file', async () => {
    const want = expected.definition;
    const [target] = await ask('executeDefinitionProvider', place(want.at));
    const file = (target.targetUri ?? target.uri).path;
    const start = (target.targetSelectionRange ?? target.targetRange ?? target.range).start;
    if (!file.endsWith(want.file) || start.line + 1 !== want.line) {
      throw new Error(`${file}:${start.line + 1}`);
    }
  });

  await check('symbols, folds, colours by meaning', async () => {
    const symbols = await ask('executeDocumentSymbolProvider');
    if (!symbols.some((symbol) => symbol.name.includes('yard-gate'))) {
      throw new Error(symbols.map((symbol) => symbol.name).join(' '));
    }
    const folds = await ask('executeFoldingRangeProvider');
    if (!folds.some((fold) => fold.start === 3)) throw new Error(JSON.stringify(folds));
    const legend = await ask('provideDocumentSemanticTokensLegend');
    const tokens = await ask('provideDocumentSemanticTokens');
    if (!legend.tokenTypes.length || tokens.data.length < 100) throw new Error('no tokens');
  });

  await check('figures at the ends of lines, each kind by itself', async () => {
    const whole = new vscode.Range(0, 0, document.lineCount, 0);
    const hints = async () => (await ask('executeInlayHintProvider', whole)).length;
    await wait('hints', async () => (await hints()) > 0);
    const before = await hints();
    const settings = vscode.workspace.getConfiguration('curtilage.hints');
    const kinds = Object.keys(settings).filter((kind) => typeof settings[kind] === 'boolean');
    if (!kinds.length) throw new Error('no kinds');
    for (const kind of kinds) await settings.update(kind, false, vscode.ConfigurationTarget.Global);
    await wait(`no hints any more, of ${before}`, async () => (await hints()) === 0);
    for (const kind of kinds) await settings.update(kind, true, vscode.ConfigurationTarget.Global);
    await wait('hints again', async () => (await hints()) === before);
  });

  await check('a fix is made', async () => {
    const fix = expected.fix;
    const start = place(fix.at);
    const actions = await ask('executeCodeActionProvider', new vscode.Range(start, start), undefined, 20);
    const action = actions.find((offered) => offered.title.includes(fix.title));
    if (!action) throw new Error(`not among ${actions.map((offered) => offered.title).join('; ')}`);
    await vscode.workspace.applyEdit(action.edit);
    if (line(fix.line) !== fix.becomes) throw new Error(line(fix.line));
    await wait('its finding to go', () => !has(fix.mends));
  });

  await check('the file is formatted', async () => {
    const edits = await ask('executeFormatDocumentProvider', { tabSize: 4, insertSpaces: true });
    const edit = new vscode.WorkspaceEdit();
    edit.set(site, edits);
    await vscode.workspace.applyEdit(edit);
    const { line: number, becomes } = expected.format;
    if (line(number) !== becomes) throw new Error(line(number));
  });

  await check('unsaved text of another file wins', async () => {
    const { from, to, mends } = expected.unsaved;
    const other = await vscode.workspace.openTextDocument(parts);
    const replace = async (what, by) => {
      const start = other.positionAt(other.getText().indexOf(what));
      const edit = new vscode.WorkspaceEdit();
      edit.replace(parts, new vscode.Range(start, start.translate(0, what.length)), by);
      await vscode.workspace.applyEdit(edit);
    };
    await replace(from, to);
    await wait('the finding to go', () => !has(mends));
    if (!other.isDirty) throw new Error('it was saved');
    await replace(to, from);
    await wait('the finding to return', () => has(mends));
  });

  await check('rename in both files', async () => {
    const rename = expected.rename;
    const edit = await ask('executeDocumentRenameProvider', place(rename.at), rename.to);
    await vscode.workspace.applyEdit(edit);
    const other = await vscode.workspace.openTextDocument(parts);
    for (const [text, lines] of [[document.getText(), rename.site], [other.getText(), rename.parts]]) {
      for (const wanted of lines) if (!text.includes(wanted)) throw new Error(`no \`${wanted}\``);
    }
  });

  await check('the server starts again when it is told to', async () => {
    await vscode.commands.executeCommand('curtilage.restart');
    await wait('diagnostics', () => has(expected.unsaved.mends));
  });

  // For what is looked at in the browser.
  const [told] = vscode.languages.getDiagnostics(site);
  await vscode.window.showTextDocument(document, { selection: told?.range });
}

/** Waits until a condition holds; a provider that is not there yet does not hold. */
async function wait(what, condition) {
  const end = Date.now() + patience;
  for (;;) {
    if (await condition()) return;
    if (Date.now() > end) throw new Error(`waited in vain for ${what}`);
    await new Promise((next) => setTimeout(next, 50));
  }
}
