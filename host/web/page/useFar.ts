import { useEffect, useState } from 'preact/hooks';
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
  const change = (next: Far | undefined): void => {
    setFar(next);
    if (next && !document.fullscreenElement) void document.documentElement.requestFullscreen?.().catch(() => undefined);
    if (!next && document.fullscreenElement) void document.exitFullscreen().catch(() => undefined);
  };
  return [far, change];
}
