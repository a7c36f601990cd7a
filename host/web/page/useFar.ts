import { useEffect, useRef, useState } from 'preact/hooks';
import type { Axis } from '../../words/reading.ts';

/** Which needles fill the screen, to be read from a distance. */
export type Far = 'both' | Axis;

/** The view for a distance takes the whole screen where the browser lets it, and gives it back. */
export function useFar(): [Far | undefined, (far: Far | undefined) => void] {
  const [far, setFar] = useState<Far | undefined>(undefined);
  useEffect(() => {
    const left = (): void => {
      if (!document.fullscreenElement) setFar(undefined);
    };
    document.addEventListener('fullscreenchange', left);
    return () => document.removeEventListener('fullscreenchange', left);
  }, []);
  const wanted = useRef(far);
  const giveBack = (): void => {
    if (!wanted.current && document.fullscreenElement) void document.exitFullscreen().catch(() => undefined);
  };
  const change = (next: Far | undefined): void => {
    wanted.current = next;
    setFar(next);
    if (!next) giveBack();
    // a person may have gone back before the screen was filled
    else if (!document.fullscreenElement)
      void document.documentElement.requestFullscreen?.().then(giveBack, () => undefined);
  };
  return [far, change];
}
