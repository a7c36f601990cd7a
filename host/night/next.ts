import { needleStepRad, type Answer } from '../../calibration/answer.ts';
import { arcminute, degree } from '../../calibration/angle.ts';
import { chanceWithin, verdictOf } from '../../calibration/enough.ts';
import { lockAhead, type Ahead } from '../../calibration/nudge/ahead.ts';
import { habitOf, type SeenShift } from '../../calibration/nudge/habit.ts';
import { bandSigmas, plainAngle, sideWords } from '../words/reading.ts';

/** The steps of an evening, in the order in which a newcomer walks them. */
export const stepOrder = [
  'site',
  'tumble',
  'level',
  'swing',
  'needles',
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
  /** What each locking of tonight did to the axis. */
  lockings: readonly SeenShift[];
  answer?: Answer;
  plan?: { allowedRad: number; words: string };
}

/** One nudge by a star in the eyepiece, on the sky (median of virtual nights). */
const starNudgeRad = 1 * arcminute;
/** However it goes, an evening ends. */
const mostLockings = 8;
/** A plan is not known and the axis is this near: good for most eyepieces and short exposures (common practice). */
const nearRad = 3 * arcminute;

/** What to type for a step. */
export const commandOf = (step: NextStep['step']): string => {
  const commands: Record<NextStep['step'], string> = {
    site: 'lodepole site --place "NAME OF YOUR TOWN" --save',
    tumble: 'lodepole tumble',
    level: 'lodepole level',
    swing: 'lodepole swing',
    needles: 'lodepole watch',
    balance: 'lodepole balance --rig rig.json',
    sight: 'lodepole sight',
    sun: 'lodepole sight --sun --keep',
    enough: 'lodepole enough --field 50 --minutes 40',
    nudge: 'lodepole nudge',
    lock: 'lodepole watch',
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
    'A level base lets each bolt move one needle only. Set it before the swing, since it takes the board off its clip.',
  swing:
    'The swing finds the polar axis in the board: clip the board on, and turn the right-ascension axis from rest to rest.',
  needles: 'The needles show how far the axis is off. Turn the bolts until neither needle can show less.',
  balance: 'Put on everything you will use and balance it before the stars: a load put on later bends the mount.',
  sight: 'Stars timed against gravity tell the pole ten times better than the compass.',
  nudge: 'Turn the bolts by a star in the eyepiece: three times finer than by the needles.',
  lock: 'Lock the bolts now, and let the program see what locking moves: key t before and after.',
  drift: 'The drift of one or two stars proves where the axis stands.',
  enough: 'Name your plan: it decides when to stop.',
  observe: 'Observe. First see on which side of the mount each target belongs.',
  sheet: 'Print the night sheet: what was measured, set and proved.',
};

const next = (step: NextStep['step'], reason = plainReasons[step] ?? ''): NextStep => ({
  step,
  reason,
  command: commandOf(step),
});

const angle = (angleRad: number, bandRad: number): string => plainAngle(angleRad / degree, bandRad / degree);

/** "The axis stands 5.2′ from the pole, give or take 2′". */
function standing({ distanceRad, sigmaDistanceRad }: Answer): string {
  const band = bandSigmas * sigmaDistanceRad;
  return distanceRad > band
    ? `The axis stands ${angle(distanceRad, band)} from the pole, give or take ${angle(band, band)}`
    : `The axis stands within ${angle(distanceRad + band, band)} of the pole`;
}

/** Up to the first star everything follows its order; a step that was passed over is not asked for again once a later one is done. */
function beforeTheSky({ done, sky, nowMs }: Tonight): NextStep {
  const isLaterDone = (step: StepOfNight): boolean =>
    stepOrder.slice(stepOrder.indexOf(step) + 1, stepOrder.indexOf('sight')).some((later) => done[later] !== undefined);
  for (const step of ['tumble', 'level', 'swing', 'needles'] as const)
    if (done[step] === undefined && !isLaterDone(step)) return next(step);
  if (sky?.hasStars ?? true) return done.balance === undefined ? next('balance') : next('sight');
  if (done.balance === undefined) return next('balance');
  const from = sky?.starsFrom ? `from ${sky.starsFrom.toISOString().slice(11, 16)} UTC` : 'not within a day';
  if (sky?.sunIsUp && done.sun === undefined)
    return next(
      'sun',
      `No star can be taken by day (${from}). The shadow of a pin tells the azimuth; never look at the Sun.`,
    );
  return next('wait', `It is not dark enough for stars: ${from}, in ${minutesUntil(sky?.starsFrom, nowMs)} minutes.`);
}

const minutesUntil = (date: Date | null | undefined, nowMs: number): string =>
  date ? Math.max(0, (date.getTime() - nowMs) / 60_000).toFixed(0) : 'many';

/** Where the axis stands on the sky, as `chanceWithin` takes it. */
function isWithin(answer: Answer, latitudeRad: number, allowedRad: number): boolean {
  const across = Math.cos(latitudeRad);
  const [altitude, between, , azimuth] = answer.axisCovariance;
  const covariance = [azimuth * across ** 2, between * across, between * across, altitude] as const;
  const chance = chanceWithin(allowedRad, answer.azimuthErrorRad * across, answer.altitudeErrorRad, covariance);
  return verdictOf(chance) === 'good enough';
}

/** How well one nudge is read, row-major 2 x 2 of altitude and azimuth: on a star, else by the needles. */
function readCovariance(hasStars: boolean, latitudeRad: number): readonly [number, number, number, number] {
  if (hasStars) return [starNudgeRad ** 2 / 2, 0, 0, starNudgeRad ** 2 / 2 / Math.cos(latitudeRad) ** 2];
  return [needleStepRad.altitude ** 2, 0, 0, needleStepRad.azimuth ** 2];
}

/** "Loosen the bolts, bring the axis to 3′ high and 2′ west, and lock again." */
function correctionWords({ standOff }: Ahead): string {
  const [altitude, azimuth] = [standOff.altitudeErrorRad / degree, standOff.azimuthErrorRad / degree];
  return (
    `Loosen the bolts, bring the axis to ${sideWords('altitude', altitude, 0.03)} and ${sideWords('azimuth', azimuth, 0.03)}, ` +
    'the opposite of what locking does here, and lock again.'
  );
}

/** The axis is as good as the plan asks, or as it will get. */
function finished({ done, movedMs = -Infinity, lockedMs = -Infinity }: Tonight, why: string): NextStep {
  if (movedMs > lockedMs)
    return next('lock', `${why} Lock the bolts, and let the program see what locking moves: key t before and after.`);
  const since = (step: StepOfNight): boolean => (done[step] ?? -Infinity) > Math.max(movedMs, lockedMs);
  if (!since('observe'))
    return next('observe', `${why} Observe; first see on which side of the mount each target belongs.`);
  if (!since('sheet'))
    return next('sheet', `${why} Print the night sheet when you like: what was measured, set and proved.`);
  return next('observe', `${why} Observe. Ask again after a knock, or when the answer is hours old.`);
}

function onTheSky(tonight: Tonight, answer: Answer, latitudeRad: number): NextStep {
  const { done, plan, sky, measuredMs = -Infinity, movedMs = -Infinity, lockedMs = -Infinity, lockings } = tonight;
  const where = standing(answer);
  const hasStars = sky?.hasStars ?? true;
  if (!plan && done.enough === undefined)
    return next('enough', `${where}. Name your plan, as in this example: it decides when to stop.`);
  const allowedRad = plan?.allowedRad ?? nearRad;
  const wanted = plan
    ? `; tonight’s plan allows ${angle(plan.allowedRad, Math.max(plan.allowedRad / 10, 0.25 * arcminute))} (${plan.words})`
    : '';
  if (isWithin(answer, latitudeRad, allowedRad))
    return finished(tonight, plan ? `${where}: good enough for ${plan.words}.` : `${where}.`);
  const { distanceRad, sigmaDistanceRad } = answer;
  const isLocked = lockedMs > movedMs;
  const read = readCovariance(hasStars, latitudeRad);
  const ahead = lockAhead(answer, habitOf(lockings), read, latitudeRad);
  const known = answer.axisCovariance;
  const nudgedRad = Math.sqrt(known[0] + read[0] + (known[3] + read[3]) * Math.cos(latitudeRad) ** 2);
  const afterRad = isLocked ? ahead.afterRad : nudgedRad;
  const isOld = measuredMs < Math.max(movedMs, lockedMs);
  const isBlurred = sigmaDistanceRad > distanceRad || sigmaDistanceRad > allowedRad / 2;
  const isFar = distanceRad > 3 * sigmaDistanceRad;
  if (hasStars && isBlurred && !isFar && (isOld || done.drift === undefined))
    return next('drift', `${where}${wanted}. The drift of two stars tells it better.`);
  if (afterRad < ahead.nowRad && lockings.length < mostLockings) {
    const correction = isLocked ? ` ${correctionWords(ahead)}` : '';
    return next(
      'nudge',
      `${where}${wanted}. A nudge brings it to about ${angle(afterRad, afterRad / 3)}.${correction}`,
    );
  }
  if (hasStars && isOld) return next('drift', `${where}, carried over a nudge. The drift of a star proves it.`);
  return finished(tonight, `${where}: nearer than this no further nudge brings it.`);
}

/** The next sensible step, with its reason. A pure function of what was done tonight; it recommends and never blocks. */
export function nextStep(tonight: Tonight): NextStep {
  const { latitudeRad, answer, measuredMs } = tonight;
  if (latitudeRad === undefined) return next('site');
  if (!answer || measuredMs === undefined) return beforeTheSky(tonight);
  return onTheSky(tonight, answer, latitudeRad);
}

/** What follows a step that was practised, where nothing is kept: the one after it in the order. */
export function nextAfter(step: StepOfNight, scene: string): NextStep | undefined {
  const practised = stepOrder.slice(stepOrder.indexOf(step) + 1).find((later) => practicable.includes(later));
  if (!practised) return undefined;
  return { ...next(practised), command: `${commandOf(practised)} --virtual ${scene}` };
}

const practicable: readonly StepOfNight[] = ['tumble', 'level', 'swing', 'needles', 'sight', 'drift'];

/** "Next: … lodepole swing". */
export const nextWords = ({ reason, command: typed }: NextStep): string => `Next: ${reason}\n      ${typed}`;
