import NoSleep from '@zakj/no-sleep';

/** Keeps the screen awake: by the browser's own lock, or, on plain http, by a silent film from the first touch on. */
export function keepAwake(onAwake: (isAwake: boolean) => void): void {
  if ('wakeLock' in navigator) {
    const hold = (): void =>
      void navigator.wakeLock.request('screen').then(
        () => onAwake(true),
        () => onAwake(false),
      );
    document.addEventListener('visibilitychange', () => {
      if (document.visibilityState === 'visible') hold();
    });
    return hold();
  }
  const film = new NoSleep();
  // browsers let a film play only from a touch or a key on
  const begin = (): void =>
    void Promise.resolve(film.enable()).then(() => {
      onAwake(film.enabled);
      if (film.enabled) for (const kind of kinds) removeEventListener(kind, begin);
    });
  const kinds = ['pointerup', 'keydown'] as const;
  for (const kind of kinds) addEventListener(kind, begin);
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'visible' && film.enabled) void film.enable();
  });
}
