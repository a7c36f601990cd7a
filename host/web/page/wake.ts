/** Keeps the screen awake where the browser allows it (a secure context, so not over the local network). */
export async function keepAwake(): Promise<boolean> {
  if (!('wakeLock' in navigator)) return false;
  const hold = async (): Promise<boolean> => {
    try {
      await navigator.wakeLock.request('screen');
      return true;
    } catch {
      return false;
    }
  };
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'visible') void hold();
  });
  return hold();
}
