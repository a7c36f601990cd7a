import { exitCode } from '../failure.ts';
import { needlesJson } from '../live/needlesJson.ts';
import type { LiveSession } from '../live/session.ts';
import type { CarriedAnswer } from '../night/carriedAnswer.ts';
import { printJson } from '../output.ts';
import { sayNotes } from '../terminal/sayNotes.ts';
import type { WatchEnding } from './watchEnding.ts';

/** JSON lines a second: one at least every this many seconds is left out. */
const jsonEveryS = 0.045;

export const wallClockS = (): number => performance.now() / 1000;

/** About twenty lines a second, whatever the board's rate; a change of state at once. */
export function showJson(
  session: LiveSession,
  carried: CarriedAnswer,
  ending: WatchEnding,
  clockS: () => number,
): () => void {
  const stopNotes = sayNotes(session);
  let lastS = -Infinity;
  let lastState = '';
  const stop = session.onNeedles((needles) => {
    const nowS = clockS();
    if (nowS - lastS < jsonEveryS && needles.state === lastState) return;
    // a reader that does not keep up loses lines, not memory
    if (process.stdout.writableLength > 1 << 20) return;
    lastS = nowS;
    lastState = needles.state;
    const carries = carried.kinds();
    printJson({
      ...needlesJson(needles, session.source, session.link().words, wallClockS()),
      ...(carries.length > 0 && { carries }),
    });
  });
  process.stdout.on('close', () => ending.now(exitCode.done));
  return () => {
    stop();
    stopNotes();
  };
}
