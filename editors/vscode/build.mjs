// Bundles the extension into one file, and takes in the grammar that is shared with other tools.
import { build } from 'esbuild';
import { copyFile, mkdir } from 'node:fs/promises';

await mkdir('out', { recursive: true });
await copyFile('../../grammar/curtilage.tmLanguage.json', 'out/curtilage.tmLanguage.json');
await build({
  entryPoints: ['src/extension.ts'],
  outfile: 'out/extension.js',
  bundle: true,
  minify: true,
  platform: 'node',
  target: 'node18',
  format: 'cjs',
  // The editor brings this one along.
  external: ['vscode'],
});
