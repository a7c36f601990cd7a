import { arcminute } from '../../../calibration/angle.ts';
import { readingSigma } from '../../../calibration/nudge/gates.ts';
import type { FieldPlace } from '../../../calibration/nudge/starAfter.ts';
import { sideWithCounterweightBelow } from '../../../calibration/sight/sightModel.ts';
import { exitCode, Failure } from '../../failure.ts';
import { starPlace } from '../../practice/watchByEye.ts';
import { requireStar, type Star } from '../../sky/stars.ts';
import { nudgeStars, type NudgeAxis, type NudgeEye } from '../../steps/starNudge.ts';
import type { StepRequest } from '../messages.ts';
import type { Night } from './nightAtPage.ts';
import { texts } from './words/starLock.ts';

const usualFieldArcmin = 40;

/** The true field as it is typed in arcminutes, and how well a place in it is read. */
export function eyeTyped(typed = ''): NudgeEye {
  const arcmin = Number(typed);
  const fieldRad = (arcmin >= 2 && arcmin <= 900 ? arcmin : usualFieldArcmin) * arcminute;
  return { fieldRad, sigmaReadRad: readingSigma.inField(fieldRad) };
}

/** The star that is named; else the one that shows both bolts best, where there is one. Throws Failure. */
export function starTyped(night: Night, typed: string | undefined, axis: NudgeAxis, eye: NudgeEye): Star | undefined {
  const name = typed?.trim() ?? '';
  return name === '' ? nudgeStars(night.site, night.now(), axis, eye.fieldRad).at(0)?.star : requireStar(name);
}

/** The picture is mirrored, as it is typed. */
export const isMirrored = (typed = ''): boolean => /^m/i.test(typed);

/** Where the star stands, as it is typed; undefined where nothing is. Throws Failure. */
export function placeTyped({ north = '', east = '' }: StepRequest['fields']): FieldPlace | undefined {
  if (north.trim() === '' && east.trim() === '') return undefined;
  const [n, e] = [north, east].map((text) => (text.trim() === '' ? NaN : Number(text)));
  if (!Number.isFinite(n) || !Number.isFinite(e)) throw new Failure(exitCode.usage, texts.notPlace, texts.typeSigned);
  return { northRad: n * arcminute, eastRad: e * arcminute };
}

/** The place in the field, which the way from `start` leads to. */
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
