import { arcminute } from '../../calibration/angle.ts';
import { PracticeHands } from '../../firmware-proto/virtual/handsPractice.ts';
import { Random } from '../../firmware-proto/virtual/random.ts';
import type { LiveSession } from './session.ts';
import { texts } from './words.ts';

const lookEveryMs = 1000;
const toleranceRad = 6 * arcminute;
/** Stands among the notes of a session as long as scripted hands may turn its bolts. */
export const handsNote = texts.handsBegin;

/** Scripted hands at a virtual mount. */
export interface Practice {
  /** A person takes the bolts: the scripted hands stay away from now on. */
  person(): void;
  stop(): void;
  /** What the scripted hands do, in one sentence; empty where there are none, or none any more. */
  words(): string;
  isTurning(): boolean;
}

/**
 * Lets scripted hands turn the bolts of a virtual mount until a person does. They see what a person would see: the needles at
 * rest, never the truth. What they do is told by `words`, that they are there by the notes of the session.
 * @param isOver tells that something was measured on the sky, which must not be lost: the hands then leave the bolts alone
 */
export function practise(session: LiveSession, startAfterS: number, seed = 1, isOver = () => false): Practice {
  const { virtual } = session;
  if (!virtual) return { person: () => {}, stop: () => {}, words: () => '', isTurning: () => false };
  const { hands } = virtual;
  const practice = new PracticeHands(hands, new Random(seed));
  const notBeforeS = performance.now() / 1000 + startAfterS;
  let hasPerson = false;
  const timer = setInterval(() => {
    const needles = session.latest();
    if (needles?.state === 'still' && !isOver() && performance.now() / 1000 > notBeforeS)
      practice.offer(needles, toleranceRad);
  }, lookEveryMs);
  const words = (): string => {
    if (hasPerson || isOver()) return '';
    const bolt = hands.boltTurned();
    return bolt === undefined
      ? texts.handsRest
      : `Virtual hands are turning the ${bolt} bolt${bolt === 'azimuth' ? 's' : ''}.`;
  };
  virtual.tellHands(() => (words() === '' ? '' : handsNote));
  return {
    person: () => {
      if (!hasPerson) hands.letGo();
      hasPerson = true;
      clearInterval(timer);
    },
    stop: () => clearInterval(timer),
    words,
    isTurning: () => !hasPerson && hands.boltTurned() !== undefined,
  };
}
