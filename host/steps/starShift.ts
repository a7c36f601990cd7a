import { needleStepCovariance } from '../../calibration/answer.ts';
import type { AxisErrors } from '../../calibration/drift/driftModel.ts';
import { fuseShifts, type SeenShift } from '../../calibration/nudge/habit.ts';
import { readShift } from '../../calibration/nudge/readShift.ts';
import { home, type FieldPlace } from '../../calibration/nudge/starAfter.ts';
import { exitCode, Failure } from '../failure.ts';
import type { Site } from '../site/site.ts';
import type { Star } from '../sky/stars.ts';
import { planStarNudge, type NudgeAxis, type NudgeEye, type NudgePlan } from './starNudge.ts';

/** Of an axis that nothing is known of. */
export const blindAxis: NudgeAxis = { ...home, axisCovariance: [0, 0, 0, 0] };

/**
 * A star on which to read what a locking or a load does: nothing is brought home, and how far that would lead does not matter. Throws
 * Failure where the star does not show it.
 * @param axis as far as it is known
 */
export function planStarReading(
  star: Star,
  site: Site,
  utc: Date,
  eye: NudgeEye,
  by: 'locking' | 'load',
  axis: NudgeAxis = blindAxis,
): NudgePlan {
  const plan = planStarNudge(star, site, utc, axis, eye, axis);
  const stop = plan.gates.find(({ verdict }) => verdict === 'stop');
  if (stop)
    throw new Failure(exitCode.refused, `This star does not show what ${by} did: ${stop.reason}.`, stop.nextAction);
  return plan;
}

/** How far the axis went while a star went this way in the field, centred or read before and read after. */
export const shiftByStar = (
  { starNed, axis, eye }: { starNed: NudgePlan['starNed']; axis: AxisErrors; eye: NudgeEye },
  latitudeRad: number,
  way: FieldPlace,
): SeenShift => readShift(starNed, latitudeRad, axis, way, eye.sigmaReadRad * Math.SQRT2);

/** The same by the star and by the needles before and after. */
export const withNeedles = (byStar: SeenShift, before: AxisErrors, after: AxisErrors): SeenShift =>
  fuseShifts(byStar, {
    altitudeShiftRad: after.altitudeErrorRad - before.altitudeErrorRad,
    azimuthShiftRad: after.azimuthErrorRad - before.azimuthErrorRad,
    covariance: needleStepCovariance,
  });
