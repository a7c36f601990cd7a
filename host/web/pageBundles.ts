import { fileURLToPath } from 'node:url';

/** Bundles the page's scripts and style in memory, by their file names. The packed program has them built. */
export async function pageBundles(names: readonly string[]): Promise<Record<string, string>> {
  const { build } = await import('esbuild');
  const { outputFiles } = await build({
    entryPoints: names.map((name) => fileURLToPath(new URL(`page/${name.replace(/\.js$/, '')}`, import.meta.url))),
    bundle: true,
    write: false,
    outdir: 'out',
    format: 'esm',
    target: 'es2020',
    minify: true,
    jsx: 'automatic',
    jsxImportSource: 'preact',
    logLevel: 'silent',
  });
  return Object.fromEntries(
    names.map((name) => [name, outputFiles.find((file) => file.path.endsWith(`/${name}`))?.text ?? '']),
  );
}
