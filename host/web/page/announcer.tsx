import { useEffect, useState } from 'preact/hooks';
import type { Feed } from './feed.ts';
import { axisWords, verdictWords } from './view.ts';

const readingsEveryMs = 20_000;
const lookEveryMs = 500;

/** For screen readers: speaks up when the state changes, and tells the readings now and then, never more often. */
export function Announcer({ feed }: { feed: Feed }) {
  const [text, setText] = useState('');
  useEffect(() => {
    let shownState = '';
    let saidMs = 0;
    const timer = setInterval(() => {
      const state = feed.hasReading() ? (feed.needles?.state ?? 'stale') : 'stale';
      const isNews =
        state !== shownState &&
        (state === 'stale' || state === 'disturbed' || shownState === 'stale' || shownState === 'disturbed');
      shownState = state;
      if (!isNews && Date.now() - saidMs < readingsEveryMs) return;
      saidMs = Date.now();
      if (state === 'stale') return setText(verdictWords(feed));
      const spoken = (['azimuth', 'altitude'] as const).map((axis) => {
        const { reading, sure } = axisWords(feed, axis);
        return [`${axis} ${reading}`, sure].filter(Boolean).join(', ');
      });
      setText(`${spoken.join('; ')}. ${state === 'disturbed' ? verdictWords(feed) : ''}`);
    }, lookEveryMs);
    return () => clearInterval(timer);
  }, [feed]);
  return (
    <p class="unseen" role="status">
      {text}
    </p>
  );
}
