/**
 * Service worker: keeps a copy of the page, so that a reload while the host is away shows the dark page and not the
 * browser's white one. Browsers allow it on the loopback address only; over the local network the page goes without.
 */
interface WorkerEvent extends Event {
  waitUntil(promise: Promise<unknown>): void;
}
interface FetchEvent extends Event {
  readonly request: Request;
  respondWith(response: Promise<Response>): void;
}
interface Worker {
  addEventListener(kind: 'install' | 'activate', listener: (event: WorkerEvent) => void): void;
  addEventListener(kind: 'fetch', listener: (event: FetchEvent) => void): void;
  skipWaiting(): Promise<void>;
  clients: { claim(): Promise<void> };
}

const worker = globalThis as unknown as Worker;
const kept = ['/', '/look.js', '/main.js', '/page.css', '/icon.svg'];
const store = 'lodepole-page-2';

worker.addEventListener('install', (event) => {
  event.waitUntil(
    caches
      .open(store)
      .then((cache) => cache.addAll(kept))
      .then(() => worker.skipWaiting()),
  );
});
worker.addEventListener('activate', (event) => event.waitUntil(worker.clients.claim()));
worker.addEventListener('fetch', (event) => {
  const path = new URL(event.request.url).pathname;
  if (event.request.method === 'GET' && kept.includes(path)) event.respondWith(hostFirst(event.request, path));
});

async function hostFirst(request: Request, path: string): Promise<Response> {
  const cache = await caches.open(store);
  try {
    const fresh = await fetch(request);
    if (fresh.ok) await cache.put(path, fresh.clone());
    return fresh;
  } catch (error) {
    const copy = await cache.match(path);
    if (copy) return copy;
    throw error;
  }
}
