// Before `npm pack`: program and page in bundles, so that the installed program starts at once and needs no tools.
import { mkdir, rm, writeFile } from 'node:fs/promises';
import { relative } from 'node:path';
import type { Plugin } from 'esbuild';
import { bundleProgram, root } from './bundle.ts';
import { bundleNames } from './web/assets.ts';
import { pageBundles } from './web/pageBundles.ts';

const folder = `${root}built/`;

/** The scripts and the style of the page are built already. */
const builtPage: Plugin = {
  name: 'built page',
  setup({ onLoad }) {
    onLoad({ filter: /[/\\]web[/\\]pageBundles\.ts$/ }, () => ({
      loader: 'ts',
      contents: `import { readFile } from 'node:fs/promises';
        export const pageBundles = async (names) => Object.fromEntries(await Promise.all(names.map(
          async (name) => [name, await readFile(new URL(\`page/\${name}\`, import.meta.url), 'utf8')])));`,
    }));
  },
};

await rm(folder, { recursive: true, force: true });
const packed = (path: string): string => JSON.stringify(`../${relative(root, path).replaceAll('\\', '/')}`);
await bundleProgram(folder, (path) => `new URL(${packed(path)}, import.meta.url).href`, [builtPage]);
await mkdir(`${folder}page`);
for (const [name, text] of Object.entries(await pageBundles(bundleNames))) {
  await writeFile(`${folder}page/${name}`, text);
}
