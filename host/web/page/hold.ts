/**
 * Where no service worker may keep a copy of the page (plain http in the local network), a reload while the host is away would end
 * in the browser's own white page. The page is held instead: keys that reload do nothing then, and the browser asks before it leaves.
 */
export function holdWhile(isHostGone: () => boolean): void {
  const isCovered = (): boolean => Boolean(navigator.serviceWorker?.controller);
  addEventListener('keydown', (event) => {
    const reloads = event.key === 'F5' || ((event.ctrlKey || event.metaKey) && event.key.toLowerCase() === 'r');
    if (reloads && isHostGone() && !isCovered()) event.preventDefault();
  });
  addEventListener('beforeunload', (event) => {
    if (isHostGone() && !isCovered()) event.preventDefault();
  });
}
