import type { LiveSession } from '../live/session.ts';
import { say } from '../output.ts';

const everyMs = 500;

/** Says each note of a session once on stderr, as soon as it is known; returns what ends that. */
export function sayNotes(session: LiveSession): () => void {
  const said = new Set<string>();
  const look = (): void => {
    for (const note of session.notes() ?? []) {
      if (said.has(note)) continue;
      said.add(note);
      say(note);
    }
  };
  look();
  const timer = setInterval(look, everyMs);
  return () => {
    clearInterval(timer);
    look();
  };
}
