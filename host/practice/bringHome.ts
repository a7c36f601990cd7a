import { arcminute, degree } from '../../calibration/angle.ts';
import { needleStepRad } from '../../calibration/answer.ts';
import type { AxisErrors } from '../../calibration/drift/driftModel.ts';
import type { AxisKnown } from '../../calibration/nudge/ahead.ts';
import { readingSigma } from '../../calibration/nudge/gates.ts';
import { fuseShifts, type SeenShift } from '../../calibration/nudge/habit.ts';
import { readShift } from '../../calibration/nudge/readShift.ts';
import { home } from '../../calibration/nudge/starAfter.ts';
import { exitCode, Failure } from '../failure.ts';
import { nudgeStars, planStarNudge, type NudgeEye, type NudgePlan } from '../steps/starNudge.ts';
import type { VirtualNight } from './rehearseNight.ts';
import { shiftEntry, StarInField, type Look } from './starInField.ts';

/** The eyepieces at hand; the one of more power is read better, and takes a shorter way. */
const fieldsArcmin = [40, 20];
/** What virtual hands believe of a turn, and how finely they turn while they look. */
const believedRadPerTurn = 1.2 * degree;
const touchTurns = 0.005;
const mostLooks = 10;

const eyes: readonly NudgeEye[] = fieldsArcmin.map((field) => ({
  fieldRad: field * arcminute,
  sigmaReadRad: readingSigma.inField(field * arcminute),
}));

/** The star and the eyepiece that leave the axis nearest to the pole. Throws Failure where no star does. */
export function bestNudge(night: VirtualNight, axis: AxisKnown): NudgePlan {
  const plans = eyes.flatMap((eye) => {
    const star = nudgeStars(night.site, night.now(), axis, eye.fieldRad).at(0)?.star;
    return star ? [planStarNudge(star, night.site, night.now(), axis, eye)] : [];
  });
  const [best] = plans
    .filter(({ gates }) => gates.every(({ verdict }) => verdict !== 'stop'))
    .sort((one, other) => one.expectedAfterRad - other.expectedAfterRad);
  if (!best) throw new Failure(exitCode.refused, 'No star does for a nudge now.', 'Nudge by the needles.');
  return best;
}

/** Covariance of one nudge as star and needles together tell it. */
export function readCovariance({ starNed, eye, axis }: NudgePlan, latitudeRad: number): SeenShift['covariance'] {
  const byStar = readShift(starNed, latitudeRad, axis, { northRad: 0, eastRad: 0 }, eye.sigmaReadRad * Math.SQRT2);
  const byNeedles: SeenShift = {
    ...byStar,
    covariance: [needleStepRad.altitude ** 2, 0, 0, needleStepRad.azimuth ** 2],
  };
  return fuseShifts(byStar, byNeedles).covariance;
}

/**
 * Virtual hands nudge on a star until the axis stands at `standOff`, altitude bolt first; what star and needles tell of it goes
 * into the log. With `lock` both bolts are tightened while the star is watched; what that did is returned.
 */
export function bringHome(night: VirtualNight, lock: boolean, standOff: AxisErrors = home): SeenShift | undefined {
  for (;;) {
    const known = night.answer();
    const axis: AxisKnown = {
      altitudeErrorRad: known.altitudeErrorRad - standOff.altitudeErrorRad,
      azimuthErrorRad: known.azimuthErrorRad - standOff.azimuthErrorRad,
      axisCovariance: known.axisCovariance,
    };
    const plan = bestNudge(night, axis);
    const share = 1 / plan.steps.length;
    const star = new StarInField(night, plan.star, plan.eye);
    const before = star.look();
    loosen(night);
    const aim: AxisErrors = {
      altitudeErrorRad: known.altitudeErrorRad - share * axis.altitudeErrorRad,
      azimuthErrorRad: known.azimuthErrorRad - share * axis.azimuthErrorRad,
    };
    turnTo(night, star, plan.eye, before, known, aim);
    const nudged = star.look();
    const isLast = plan.steps.length === 1;
    const words = `Read on ${plan.star.name} in the eyepiece`;
    if (!lock || !isLast) {
      night.log.push(shiftEntry(star.between(before, nudged, known), night.now(), 'star', `${words}.`));
      night.stopDrive();
      if (isLast) return undefined;
      continue;
    }
    night.world.hands.lock('altitude');
    night.watch(night.world.hands.lock('azimuth'));
    const locked = star.look();
    night.log.push(
      shiftEntry(star.between(before, locked, known), night.now(), 'locking', `Nudged and locked. ${words}.`),
    );
    night.stopDrive();
    return star.between(nudged, locked, standOff);
  }
}

function loosen(night: VirtualNight): void {
  const { hands } = night.world;
  if (!hands.haveLocked()) return;
  hands.unlock('altitude');
  night.watch(hands.unlock('azimuth'));
}

function turnTo(
  night: VirtualNight,
  star: StarInField,
  eye: NudgeEye,
  before: Look,
  from: AxisErrors,
  aim: AxisErrors,
): void {
  const left = (bolt: 'altitude' | 'azimuth'): number => {
    const now = star.read();
    const place = { northRad: now.northRad - before.place.northRad, eastRad: now.eastRad - before.place.eastRad };
    const shift = readShift(star.starNed, night.site.latitudeRad, from, place, eye.sigmaReadRad);
    return bolt === 'altitude'
      ? aim.altitudeErrorRad - from.altitudeErrorRad - shift.altitudeShiftRad
      : aim.azimuthErrorRad - from.azimuthErrorRad - shift.azimuthShiftRad;
  };
  for (const bolt of ['altitude', 'azimuth', 'altitude'] as const) {
    for (let looks = 0; looks < mostLooks; looks += 1) {
      night.watch(night.world.timeS + 3);
      const leftRad = left(bolt);
      if (Math.abs(leftRad) < eye.sigmaReadRad) break;
      const turns = leftRad / believedRadPerTurn + touchTurns * night.random.normal();
      night.watch(night.world.hands.turnBolt(bolt, turns) + 1);
    }
  }
}
