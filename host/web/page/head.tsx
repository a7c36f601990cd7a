import type { Feed } from './feed.ts';
import { stateWords } from './view.ts';

/** State, source and, where there is room for it, the next step. */
export function Head({ feed, hasRoom }: { feed: Feed; hasRoom: boolean }) {
  const { source = '', next } = feed.hello ?? {};
  return (
    <header>
      <p class="state">{stateWords(feed)}</p>
      <p class="source">{source}</p>
      {next && hasRoom && <p class="coming">{next.title}</p>}
    </header>
  );
}
