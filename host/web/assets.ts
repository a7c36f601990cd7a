import { createHash } from 'node:crypto';
import { readFile } from 'node:fs/promises';
import { fileURLToPath } from 'node:url';

export interface Asset {
  type: string;
  body: string;
  etag: string;
}

const pageFolder = new URL('page/', import.meta.url);

const asset = (type: string, body: string): Asset => ({
  type,
  body,
  etag: `"${createHash('sha256').update(body).digest('base64url').slice(0, 22)}"`,
});

/** Bundles the page in memory. The paths are the only ones that are served: no folder is ever opened to the network. */
export async function loadAssets(): Promise<ReadonlyMap<string, Asset>> {
  const { build } = await import('esbuild');
  const bundled = await build({
    entryPoints: ['main.tsx', 'pair.ts', 'keepOffline.ts', 'firstLook.ts', 'page.css'].map((file) =>
      fileURLToPath(new URL(file, pageFolder)),
    ),
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
  const bundle = (name: string, type: string): Asset =>
    asset(type, bundled.outputFiles.find((file) => file.path.endsWith(`/${name}`))?.text ?? '');
  const script = (name: string): Asset => bundle(name, 'text/javascript; charset=utf-8');
  const file = async (name: string, type: string): Promise<Asset> =>
    asset(type, await readFile(new URL(name, pageFolder), 'utf8'));
  const html = 'text/html; charset=utf-8';
  return new Map([
    ['/', await file('index.html', html)],
    ['/pair', await file('pair.html', html)],
    ['/page.css', bundle('page.css', 'text/css; charset=utf-8')],
    ['/icon.svg', await file('icon.svg', 'image/svg+xml')],
    ['/look.js', script('firstLook.js')],
    ['/main.js', script('main.js')],
    ['/pair.js', script('pair.js')],
    ['/keepOffline.js', script('keepOffline.js')],
  ]);
}

/** What a device that is not paired yet may fetch. */
export const openPaths: ReadonlySet<string> = new Set([
  '/pair',
  '/pair.js',
  '/look.js',
  '/page.css',
  '/icon.svg',
  '/api/pair',
]);
