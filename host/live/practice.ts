import { arcminute } from '../../calibration/angle.ts';
import { PracticeHands } from '../../firmware-proto/virtual/handsPractice.ts';
import { Random } from '../../firmware-proto/virtual/random.ts';
import type { LiveSession } from './session.ts';

const lookEveryMs = 1000;
/** A person at the keys keeps the scripted hands away for this long. */
const personS = 60;
const toleranceRad = 6 * arcminute;

/**
 * Lets scripted hands turn the bolts of a virtual mount while no person does. They see what a person would see: the needles at
 * rest, never the truth. Returns what to call when a person takes the bolts, and when the session ends.
 * @param isOver tells that something was measured on the sky, which must not be lost: the hands then leave the bolts alone
 */
export function practise(
  session: LiveSession,
  startAfterS: number,
  seed = 1,
  isOver = () => false,
): { person(): void; stop(): void } {
  const { hands } = session;
  if (!hands) return { person: () => {}, stop: () => {} };
  const practice = new PracticeHands(hands, new Random(seed));
  let notBeforeS = performance.now() / 1000 + startAfterS;
  const timer = setInterval(() => {
    const needles = session.latest();
    if (needles?.state === 'still' && !isOver() && performance.now() / 1000 > notBeforeS)
      practice.offer(needles, toleranceRad);
  }, lookEveryMs);
  return {
    person: () => {
      notBeforeS = performance.now() / 1000 + personS;
    },
    stop: () => clearInterval(timer),
  };
}
