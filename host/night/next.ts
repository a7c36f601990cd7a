import { onTheSky } from './onTheSky.ts';
import { commandOf, stepFor, stepOrder, type NextStep, type StepOfNight, type Tonight } from './stepsOfNight.ts';
import { texts } from './words.ts';

const ofTheBoard = ['tumble', 'level', 'swing', 'needles'] as const;

/**
 * Up to the first star everything follows its order; a step of the board that was skipped is not asked for again once a later
 * one is done.
 */
function beforeTheSky({ done, sky, nowMs }: Tonight): NextStep {
  for (const [at, step] of ofTheBoard.entries())
    if (ofTheBoard.slice(at).every((later) => done[later] === undefined)) return stepFor(step);
  if (done.balance === undefined) return stepFor(done.load === undefined ? 'load' : 'balance');
  if (sky?.hasStars ?? true) return stepFor('sight');
  const from = sky?.starsFrom ? texts.fromTime(sky.starsFrom.toISOString().slice(11, 16)) : texts.notWithinADay;
  if (sky?.sunIsUp && done.sun === undefined) return stepFor('sun', texts.neverTheSun(from));
  return stepFor('wait', texts.notDarkEnough(from, minutesUntil(sky?.starsFrom, nowMs)));
}

const minutesUntil = (date: Date | null | undefined, nowMs: number): string =>
  date ? Math.max(0, (date.getTime() - nowMs) / 60_000).toFixed(0) : 'many';

/** The next sensible step, with its reason. A pure function of what was done tonight; it recommends and never blocks. */
export function nextStep(tonight: Tonight): NextStep {
  const { latitudeRad, answer, measuredMs } = tonight;
  if (latitudeRad === undefined) return stepFor('site');
  if (!answer || measuredMs === undefined) return beforeTheSky(tonight);
  return onTheSky(tonight, answer, latitudeRad);
}

/** What follows a step that was practised, where nothing is kept: the one after it in the order. */
export function nextAfter(step: StepOfNight, scene: string): NextStep | undefined {
  const later = stepOrder.slice(stepOrder.indexOf(step) + 1);
  const practised = later.find((one) => practicable.includes(one));
  if (!practised) return undefined;
  const { reason } = stepFor(practised);
  const isNudgeSkipped = later.slice(0, later.indexOf(practised)).includes('nudge');
  return {
    ...stepFor(practised, isNudgeSkipped ? texts.pagePractises(reason) : reason),
    command: `${commandOf(practised)} --virtual ${scene}`,
  };
}

const practicable: readonly StepOfNight[] = [
  'tumble',
  'level',
  'swing',
  'needles',
  'load',
  'sight',
  'lock',
  'drift',
  'sheet',
];

/** "Next: … lodepole swing". */
export const nextWords = ({ reason, command: typed }: NextStep): string => `Next: ${reason}\n      ${typed}`;
