import { useEffect, useRef, useState } from 'preact/hooks';
import type { Axis } from '../../words/reading.ts';

/** Which needles fill the screen, to be read from a distance. */
export type Far = 'both' | Axis;

/** The view for a distance takes the whole screen where the browser lets it, and gives it back. */
export function useFar(): [Far | undefined, (far: Far | undefined) => void] {
  const [far, setFar] = useState<Far | undefined>(undefined);
  const screen = useRef({ wanted: false, isRefused: false, isOnItsWay: false }).current;
  /** Filling and leaving take the browser a while, in which a person may go back or on. */
  const follow = (): void => {
    const root = document.documentElement;
    if (screen.isOnItsWay || screen.isRefused || screen.wanted === Boolean(document.fullscreenElement)) return;
    if (!root.requestFullscreen) return;
    screen.isOnItsWay = true;
    void (screen.wanted ? root.requestFullscreen() : document.exitFullscreen())
      .then(
        () => false,
        () => true,
      )
      .then((isRefused) => {
        Object.assign(screen, { isOnItsWay: false, isRefused });
        follow();
      });
  };
  const change = (next: Far | undefined): void => {
    setFar(next);
    screen.wanted = next !== undefined;
    screen.isRefused = false;
    follow();
  };
  useEffect(() => {
    const left = (): void => {
      if (!document.fullscreenElement && !screen.isOnItsWay) change(undefined);
    };
    document.addEventListener('fullscreenchange', left);
    return () => document.removeEventListener('fullscreenchange', left);
  }, []);
  return [far, change];
}
