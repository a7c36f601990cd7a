import type { Answer } from '../../calibration/answer.ts';
import type { AxisErrors } from '../../calibration/drift/driftModel.ts';
import type { SeenShift } from '../../calibration/nudge/habit.ts';

/** The steps of an evening, in the order in which a newcomer walks them. */
export const stepOrder = [
  'site',
  'tumble',
  'level',
  'swing',
  'needles',
  'load',
  'balance',
  'sight',
  'enough',
  'nudge',
  'lock',
  'drift',
  'observe',
  'sheet',
] as const;
export type StepOfNight = (typeof stepOrder)[number];

export interface NextStep {
  step: StepOfNight | 'sun' | 'wait';
  reason: string;
  command: string;
  /** Of a nudge: the errors at which the axis is to stand before it is locked; absent: at the pole. */
  standOff?: AxisErrors;
  /** Of a nudge: distances from the pole that are to be expected once the bolts are locked, as they stand and after it. */
  expected?: { nowRad: number; afterRad: number };
}

/** What can be taken in the sky now. */
export interface SkyNow {
  hasStars: boolean;
  /** When there will be; null: not within a day. */
  starsFrom: Date | null;
  sunIsUp: boolean;
}

/** What was done tonight and how old it is: all that `nextStep` goes by. Times in milliseconds UTC. */
export interface Tonight {
  nowMs: number;
  latitudeRad?: number;
  sky?: SkyNow;
  /** When each of these was done last; absent: not tonight (site, tumble: never). */
  done: Partial<Record<StepOfNight | 'sun', number>>;
  /** The last measurement of the axis by stars, and the last time that bolts or their locking moved it. */
  measuredMs?: number;
  movedMs?: number;
  lockedMs?: number;
  /** The last time that a load went on and moved it. */
  loadedMs?: number;
  /** What each locking did to the axis, oldest first: remembered of this mount, or of tonight. */
  lockings: readonly SeenShift[];
  /** How many of them were tonight. */
  lockingsTonight: number;
  answer?: Answer;
  plan?: { allowedRad: number; words: string };
}

/** What to type for a step. */
export const commandOf = (step: NextStep['step']): string => {
  const commands: Record<NextStep['step'], string> = {
    site: 'lodepole site --place "NAME OF YOUR TOWN" --save',
    tumble: 'lodepole tumble',
    level: 'lodepole level',
    swing: 'lodepole swing',
    needles: 'lodepole watch',
    load: 'lodepole load',
    balance: 'lodepole balance --rig rig.json',
    sight: 'lodepole sight',
    sun: 'lodepole sight --sun --shadow DEGREES --keep',
    enough: 'lodepole enough --field 50 --minutes 40',
    nudge: 'lodepole nudge',
    lock: 'lodepole lock',
    drift: 'lodepole drift',
    observe: 'lodepole side --list',
    sheet: 'lodepole night --html night.html',
    wait: 'lodepole sight --list',
  };
  return commands[step];
};

const plainReasons: Partial<Record<NextStep['step'], string>> = {
  site: 'The place of the mount gives the direction of the pole and of magnetic north.',
  tumble: 'The board has not been calibrated. Turn it in the hand, away from iron.',
  level:
    'On a level base, each bolt moves one needle only. Level it before the swing, because that takes the board off its clip.',
  swing:
    'The swing finds the polar axis in the board: clip the board on, and turn the right-ascension axis from rest to rest.',
  needles: 'The needles show how far the axis is off. Turn the bolts until neither needle can show a smaller error.',
  load: 'Before the stars, put on everything you will use, weights first. Two rests of the board show how far the load bends the mount.',
  balance: 'Balance the mount with everything on, before the stars: whatever you add or move later bends it again.',
  sight: 'Stars timed against gravity find the pole ten times better than the compass.',
  nudge: 'Turn the bolts by a star in the eyepiece: three times finer than by the needles.',
  lock: 'Lock the bolts now, and let the program measure how far that moves the axis.',
  drift: 'The drift of one or two stars proves where the axis stands.',
  enough: 'Name your plan: it decides when to stop.',
  observe: 'Observe. First see on which side of the mount each target belongs.',
  sheet: 'Print the night sheet: what was measured, set and proved.',
};

/** A step with its reason, by itself the one that a newcomer is told. */
export const stepFor = (step: NextStep['step'], reason = plainReasons[step] ?? ''): NextStep => ({
  step,
  reason,
  command: commandOf(step),
});
