import { needleStepCovariance, type Answer } from '../../calibration/answer.ts';
import { arcminute, degree } from '../../calibration/angle.ts';
import type { AxisErrors } from '../../calibration/drift/driftModel.ts';
import { chanceWithin, verdictOf } from '../../calibration/enough.ts';
import type { Matrix2 } from '../../calibration/matrix2.ts';
import { lockAhead } from '../../calibration/nudge/ahead.ts';
import { expectedDistanceRad } from '../../calibration/nudge/expected.ts';
import { habitOf, type Habit } from '../../calibration/nudge/habit.ts';
import { bandSigmas, plainAngle, sideWords } from '../words/reading.ts';
import { stepFor, type NextStep, type StepOfNight, type Tonight } from './stepsOfNight.ts';
import { texts } from './words.ts';

/** One nudge by a star in the eyepiece, on the sky (median of virtual nights). */
const starNudgeRad = 1 * arcminute;
/** However it goes, an evening ends. */
const mostLockings = 8;
/** A plan is not known and the axis is this near: good for most eyepieces and short exposures (common practice). */
const nearRad = 3 * arcminute;
/** What is not known of the axis may make this much of what a correction leaves; above it a drift comes first, unless the axis stands far off. */
const surePart = 0.6;
const farTimes = 2;
/** Known better than this, one sigma, no drift is asked for twice. */
const provedRad = 1.1 * arcminute;
/** A nudge that ended within so many times its own error is not made finer by another. */
const homeTimes = 1.5;

const angle = (angleRad: number, bandRad: number): string => plainAngle(angleRad / degree, bandRad / degree);

/** "The axis stands 5.2′ from the pole, give or take 2′". */
function standing({ distanceRad, sigmaDistanceRad }: Answer): string {
  const band = bandSigmas * sigmaDistanceRad;
  return distanceRad > band
    ? `The axis stands ${angle(distanceRad, band)} from the pole, give or take ${angle(band, band)}`
    : `The axis stands within ${angle(distanceRad + band, band)} of the pole`;
}

/** Where the axis stands on the sky, as `chanceWithin` takes it. */
function isWithin(answer: Answer, latitudeRad: number, allowedRad: number): boolean {
  const across = Math.cos(latitudeRad);
  const [altitude, between, , azimuth] = answer.axisCovariance;
  const covariance = [azimuth * across ** 2, between * across, between * across, altitude] as const;
  const chance = chanceWithin(allowedRad, answer.azimuthErrorRad * across, answer.altitudeErrorRad, covariance);
  return verdictOf(chance) === 'good enough';
}

/** How well one nudge is read, row-major 2 x 2 of altitude and azimuth: on a star, else by the needles. */
function readCovariance(hasStars: boolean, latitudeRad: number): Matrix2 {
  if (hasStars) return [starNudgeRad ** 2 / 2, 0, 0, starNudgeRad ** 2 / 2 / Math.cos(latitudeRad) ** 2];
  return needleStepCovariance;
}

const toWords = ({ altitudeErrorRad, azimuthErrorRad }: AxisErrors): string =>
  `${sideWords('altitude', altitudeErrorRad / degree, 0.03)} and ${sideWords('azimuth', azimuthErrorRad / degree, 0.03)}`;

/** What the bolts can do: expected distances from the pole once they are locked. */
interface Bolts {
  areLocked: boolean;
  /** As they stand, and after one more nudge. */
  nowRad: number;
  afterRad: number;
  /** They stand where locking is expected to bring the axis home. */
  areReady: boolean;
  standOff?: AxisErrors;
}

function boltsOf(tonight: Tonight, answer: Answer, latitudeRad: number): Bolts {
  const { sky, movedMs = -Infinity, lockedMs = -Infinity, lockings } = tonight;
  const habit = habitOf(lockings);
  const read = readCovariance(sky?.hasStars ?? true, latitudeRad);
  const ahead = lockAhead(answer, habit, read, latitudeRad);
  const standOff = habit.times > 0 ? ahead.standOff : undefined;
  if (movedMs <= lockedMs && lockedMs > -Infinity)
    return { areLocked: true, nowRad: ahead.nowRad, afterRad: ahead.afterRad, areReady: false, standOff };
  const locked = asLocked(answer, habit);
  const offRad = expectedDistanceRad(locked.errors, none, latitudeRad);
  return {
    areLocked: false,
    nowRad: expectedDistanceRad(locked.errors, locked.covariance, latitudeRad),
    afterRad: ahead.afterRad,
    areReady: movedMs > -Infinity && offRad <= homeTimes * expectedDistanceRad(home, read, latitudeRad),
    standOff,
  };
}

const none: Matrix2 = [0, 0, 0, 0];
const home: AxisErrors = { altitudeErrorRad: 0, azimuthErrorRad: 0 };

/** The axis as locking is expected to leave it. */
function asLocked({ altitudeErrorRad, azimuthErrorRad, axisCovariance: known }: Answer, habit: Habit) {
  const { altitude, azimuth } = habit.scatterRad;
  const scatter = habit.times > 0 ? [habit.covariance[0], habit.covariance[3]] : [altitude ** 2, azimuth ** 2];
  return {
    errors: {
      altitudeErrorRad: altitudeErrorRad + habit.altitudeShiftRad,
      azimuthErrorRad: azimuthErrorRad + habit.azimuthShiftRad,
    },
    covariance: [known[0] + scatter[0], known[1], known[2], known[3] + scatter[1]] as Matrix2,
  };
}

/** The axis is as good as the plan asks, or as it will get. */
function finished({ done, movedMs = -Infinity, lockedMs = -Infinity }: Tonight, why: string): NextStep {
  const since = (step: StepOfNight): boolean => (done[step] ?? -Infinity) > Math.max(movedMs, lockedMs);
  // who goes on to observe without locking knows why
  if (movedMs > lockedMs || (lockedMs === -Infinity && !since('observe'))) return stepFor('lock', texts.lock(why));
  if (!since('observe')) return stepFor('observe', texts.observe(why));
  if (!since('sheet')) return stepFor('sheet', texts.printSheet(why));
  return stepFor('observe', texts.askAgain(why));
}

function nudgeStep(where: string, { areLocked, nowRad, afterRad, standOff }: Bolts): NextStep {
  const after = angle(afterRad, afterRad / 3);
  const how = standOff
    ? (areLocked ? texts.loosenAndOffset : texts.offset)(where, after, toWords(standOff))
    : (areLocked ? texts.loosenAndNudge : texts.nudge)(where, after);
  const told: NextStep = {
    ...stepFor('nudge', how),
    expected: { nowRad, afterRad },
  };
  if (!standOff) return told;
  const [altitude, azimuth] = [standOff.altitudeErrorRad, standOff.azimuthErrorRad].map((rad) =>
    (rad / arcminute).toFixed(1),
  );
  return { ...told, command: `${told.command} --to=${altitude},${azimuth}`, standOff };
}

/** What comes once a star has told where the axis stands. */
export function onTheSky(tonight: Tonight, answer: Answer, latitudeRad: number): NextStep {
  const { done, plan, sky, measuredMs = -Infinity } = tonight;
  const changedMs = Math.max(
    tonight.movedMs ?? -Infinity,
    tonight.lockedMs ?? -Infinity,
    tonight.loadedMs ?? -Infinity,
  );
  const where = standing(answer);
  if (!plan && done.enough === undefined) return stepFor('enough', texts.namePlan(where));
  if (isWithin(answer, latitudeRad, plan?.allowedRad ?? nearRad))
    return finished(tonight, plan ? texts.goodEnough(where, plan.words) : `${where}.`);
  const wanted = plan
    ? `; tonight's plan allows ${angle(plan.allowedRad, Math.max(plan.allowedRad / 10, 0.25 * arcminute))} (${plan.words})`
    : '';
  const bolts = boltsOf(tonight, answer, latitudeRad);
  const { nowRad, afterRad } = bolts;
  if (bolts.areReady) return stepFor('lock', texts.lockNow(where));
  const isDriftOld = done.drift === undefined || done.drift < changedMs;
  const canTell = (sky?.hasStars ?? true) && (measuredMs < changedMs || isDriftOld);
  const isSure = answer.sigmaDistanceRad < surePart * afterRad || nowRad > farTimes * afterRad;
  if (afterRad < nowRad && tonight.lockingsTonight < mostLockings && (isSure || !canTell))
    return nudgeStep(`${where}${wanted}`, bolts);
  if (canTell && (answer.sigmaDistanceRad > provedRad || measuredMs < changedMs))
    return stepFor('drift', texts.drift(where, wanted));
  return finished(tonight, texts.noNearer(where));
}
