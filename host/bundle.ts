import { readFile } from 'node:fs/promises';
import { fileURLToPath } from 'node:url';
import { build, type Plugin } from 'esbuild';

export const root = fileURLToPath(new URL('..', import.meta.url));

/** `import.meta.url` of a source, in a bundle, is what `addressOf` its path says: an expression. */
const filesBesideSources = (addressOf: (path: string) => string): Plugin => ({
  name: 'files beside sources',
  setup({ onLoad }) {
    onLoad({ filter: /\.ts$/ }, async ({ path }) => {
      const text = await readFile(path, 'utf8');
      return { loader: 'ts', contents: text.replaceAll('import.meta.url', addressOf(path)) };
    });
  },
});

/** The program in bundles, with `main.mjs` as its entry; rejects where the sources do not build. */
export const bundleProgram = (folder: string, addressOf: (path: string) => string, plugins: Plugin[] = []) =>
  build({
    entryPoints: [`${root}host/main.ts`],
    outdir: folder,
    outExtension: { '.js': '.mjs' },
    bundle: true,
    splitting: true,
    packages: 'external',
    format: 'esm',
    platform: 'node',
    target: 'node20',
    plugins: [...plugins, filesBesideSources(addressOf)],
    logLevel: 'warning',
  });
