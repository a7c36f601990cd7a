import { arcminute } from '../../../calibration/angle.ts';
import { needleStepRad } from '../../../calibration/answer.ts';
import type { AxisErrors } from '../../../calibration/drift/driftModel.ts';
import { readingSigma } from '../../../calibration/nudge/gates.ts';
import { fuseShifts, type SeenShift } from '../../../calibration/nudge/habit.ts';
import { readShift } from '../../../calibration/nudge/readShift.ts';
import type { FieldPlace } from '../../../calibration/nudge/starAfter.ts';
import { sideWithCounterweightBelow } from '../../../calibration/sight/sightModel.ts';
import { exitCode, Failure } from '../../failure.ts';
import { starPlace } from '../../practice/watchByEye.ts';
import type { Star } from '../../sky/stars.ts';
import type { NudgeEye, NudgePlan } from '../../steps/starNudge.ts';
import type { StepRequest } from '../messages.ts';
import type { Night } from './nightAtPage.ts';
import { texts } from './words/starLock.ts';

const needleCovariance = [needleStepRad.altitude ** 2, 0, 0, needleStepRad.azimuth ** 2] as const;
const usualFieldArcmin = 40;

/** The true field as it is typed in arcminutes, and how well a place in it is read. */
export function eyeTyped(typed = ''): NudgeEye {
  const arcmin = Number(typed);
  const fieldRad = (arcmin >= 2 && arcmin <= 900 ? arcmin : usualFieldArcmin) * arcminute;
  return { fieldRad, sigmaReadRad: readingSigma.inField(fieldRad) };
}

/** Where the star stands, as it is typed; undefined where nothing is. Throws Failure. */
export function placeTyped({ north = '', east = '' }: StepRequest['fields']): FieldPlace | undefined {
  if (north.trim() === '' && east.trim() === '') return undefined;
  const [n, e] = [north, east].map((text) => (text.trim() === '' ? NaN : Number(text)));
  if (!Number.isFinite(n) || !Number.isFinite(e)) throw new Failure(exitCode.usage, texts.notPlace, texts.typeSigned);
  return { northRad: n * arcminute, eastRad: e * arcminute };
}

export const placeFrom = (start: FieldPlace, now: FieldPlace): FieldPlace => ({
  northRad: now.northRad - start.northRad,
  eastRad: now.eastRad - start.eastRad,
});

/** The other way round: the place in the field, which the way from `start` leads to. */
export const placeOn = (start: FieldPlace, way: FieldPlace): FieldPlace => ({
  northRad: start.northRad + way.northRad,
  eastRad: start.eastRad + way.eastRad,
});

/** Where a star stands in the virtual eyepiece, as read with this error of the eye; undefined without one, or outside the field. */
export function seenInEyepiece({ session, site }: Night, star: Star, sigmaRad?: number): FieldPlace | undefined {
  const eyepiece = session.virtual?.eyepiece;
  return eyepiece?.readField(starPlace(star, site)(eyepiece.utc()), sigmaRad);
}

/** Virtual hands centre the star; the drive then keeps it. */
export async function centreByHands({ session, site }: Night, star: Star): Promise<void> {
  const eyepiece = session.virtual?.eyepiece;
  const place = starPlace(star, site);
  await eyepiece?.centre(place, sideWithCounterweightBelow(place(eyepiece.utc()).hourAngleRad), true);
}

/** How far the axis went while the star went to `place`, by the star and, where there are any, by the needles before and after. */
export function shiftOnStar(
  { starNed, axis, eye }: NudgePlan,
  latitudeRad: number,
  place: FieldPlace,
  before: AxisErrors | undefined,
  after: AxisErrors | undefined,
): SeenShift {
  const byStar = readShift(starNed, latitudeRad, axis, place, eye.sigmaReadRad * Math.SQRT2);
  if (!before || !after) return byStar;
  return fuseShifts(byStar, {
    altitudeShiftRad: after.altitudeErrorRad - before.altitudeErrorRad,
    azimuthShiftRad: after.azimuthErrorRad - before.azimuthErrorRad,
    covariance: needleCovariance,
  });
}
