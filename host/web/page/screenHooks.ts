import { useEffect, useMemo, useState } from 'preact/hooks';
import type { Feed } from './feed.ts';

const wordsEveryMs = 200;

/** Whether a media query holds now. */
export function useMatch(query: string): boolean {
  const list = useMemo(() => matchMedia(query), [query]);
  const [matches, setMatches] = useState(list.matches);
  useEffect(() => {
    const change = (): void => setMatches(list.matches);
    list.addEventListener('change', change);
    return () => list.removeEventListener('change', change);
  }, [list]);
  return matches;
}

/** Draws anew five times a second, since figures that change faster cannot be read, and at once when the state changes. */
export function useSteadyTick(feed: Feed): void {
  const [, setCount] = useState(0);
  useEffect(() => {
    const draw = (): void => setCount((count) => count + 1);
    let drawn = '';
    feed.onMessage((message) => {
      if (message.kind !== 'needles' || message.state === drawn) return;
      drawn = message.state;
      draw();
    });
    const timer = setInterval(draw, wordsEveryMs);
    return () => clearInterval(timer);
  }, [feed]);
}
