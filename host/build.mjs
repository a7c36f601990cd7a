// Before `npm pack`: program and page in bundles, so that the installed program starts at once and needs no tools.
import { mkdir, readFile, rm, writeFile } from 'node:fs/promises';
import { relative } from 'node:path';
import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';

const root = fileURLToPath(new URL('..', import.meta.url));
const folder = `${root}built/`;

/** Files that lie beside a source are packed where they are, and found from there. */
const filesBesideSources = {
  name: 'files beside sources',
  setup({ onLoad }) {
    onLoad({ filter: /\.ts$/ }, async ({ path }) => {
      const place = JSON.stringify(`../${relative(root, path).replaceAll('\\', '/')}`);
      const text = await readFile(path, 'utf8');
      return { loader: 'ts', contents: text.replaceAll('import.meta.url', `new URL(${place}, import.meta.url).href`) };
    });
  },
};

/** The scripts and the style of the page are built already. */
const builtPage = {
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
await build({
  entryPoints: [`${root}host/main.ts`],
  outdir: folder,
  outExtension: { '.js': '.mjs' },
  bundle: true,
  splitting: true,
  packages: 'external',
  format: 'esm',
  platform: 'node',
  target: 'node20',
  plugins: [builtPage, filesBesideSources],
  logLevel: 'warning',
});
const { register } = await import('tsx/esm/api');
register();
const { pageBundles } = await import('./web/pageBundles.ts');
const { bundleNames } = await import('./web/assets.ts');
await mkdir(`${folder}page`);
for (const [name, text] of Object.entries(await pageBundles(bundleNames))) {
  await writeFile(`${folder}page/${name}`, text);
}
