import { createHash } from 'node:crypto';
import { readFile } from 'node:fs/promises';
import { pageBundles } from './pageBundles.ts';

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

/** What is bundled for the browser, by its file names. */
export const bundleNames = ['main.js', 'pair.js', 'keepOffline.js', 'firstLook.js', 'page.css'] as const;
type BundleName = (typeof bundleNames)[number];

/** The page as it is served. The paths are the only ones that are served: no folder is ever opened to the network. */
export async function loadAssets(): Promise<ReadonlyMap<string, Asset>> {
  const bundles = await pageBundles(bundleNames);
  const bundle = (name: BundleName, type: string): Asset => asset(type, bundles[name]);
  const script = (name: BundleName): Asset => bundle(name, 'text/javascript; charset=utf-8');
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
