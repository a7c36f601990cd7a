import { degree } from '../angle.ts';
import type { AxisErrors } from '../drift/driftModel.ts';
import { equatorialOf } from '../equatorial.ts';
import type { Vector3 } from '../vector.ts';
import { fieldMotion, shiftRad, starAfter, type FieldPlace } from './starAfter.ts';
import { inverse2, type Matrix2 } from '../matrix2.ts';

/** A base that was set by a bubble stands level to about this, one sigma in each direction (common practice). */
const usualTiltRad = 1 * degree;

/**
 * How far the bolts took the axis, as a star tells that was centred before and read after.
 * Covariance row-major 2 x 2 of altitude and azimuth shift.
 */
interface ShiftRead {
  altitudeShiftRad: number;
  azimuthShiftRad: number;
  covariance: Matrix2;
}

/**
 * What a base that is not level adds to the place of the star, one sigma: two ways of bringing the axis to the same direction
 * differ by a turn about the axis itself, so that it lies along right ascension only. Tilted by t toward the pole the base makes of
 * an azimuth shift a one that turns by a t / cos h more about the axis; tilted across, of an altitude shift e by e t tan h / cos h
 * (first order, own derivation).
 */
export function tiltEastRad(
  starNed: Vector3,
  latitudeRad: number,
  { altitudeErrorRad: e, azimuthErrorRad: a }: AxisErrors,
  sigmaTiltRad = usualTiltRad,
): number {
  const cosH = Math.cos(latitudeRad);
  const turnRad = (sigmaTiltRad * Math.hypot(a, e * Math.tan(latitudeRad))) / cosH;
  return turnRad * Math.cos(equatorialOf(starNed, latitudeRad).declinationRad);
}

/** `m` diag(x, y) `m` transposed. */
const carried = ([a, b, c, d]: Matrix2, x: number, y: number): Matrix2 => [
  a * a * x + b * b * y,
  a * c * x + b * d * y,
  a * c * x + b * d * y,
  c * c * x + d * d * y,
];

/**
 * The shift of the axis that explains where a star stands that was centred before the bolts were turned: Newton's method on
 * `starAfter`. Throws RangeError where the star does not tell both bolts apart.
 * @param from errors of the axis before, as far as they are known
 * @param sigmaReadRad of centring and reading together, in each direction
 */
export function readShift(
  starNed: Vector3,
  latitudeRad: number,
  from: AxisErrors,
  place: FieldPlace,
  sigmaReadRad: number,
  sigmaTiltRad = usualTiltRad,
): ShiftRead {
  const back = inverse2(fieldMotion(starNed, latitudeRad, from));
  if (!back.every(Number.isFinite)) throw new RangeError('nudge: the star moves alike for both bolts');
  let [altitudeShiftRad, azimuthShiftRad] = [0, 0];
  for (let i = 0; i < 12; i += 1) {
    const to = {
      altitudeErrorRad: from.altitudeErrorRad + altitudeShiftRad,
      azimuthErrorRad: from.azimuthErrorRad + azimuthShiftRad,
    };
    const expected = starAfter(starNed, latitudeRad, from, to);
    const [north, east] = [place.northRad - expected.northRad, place.eastRad - expected.eastRad];
    altitudeShiftRad += back[0] * north + back[1] * east;
    azimuthShiftRad += back[2] * north + back[3] * east;
  }
  const moved = { altitudeErrorRad: altitudeShiftRad, azimuthErrorRad: azimuthShiftRad };
  const tiltRad = tiltEastRad(starNed, latitudeRad, moved, sigmaTiltRad);
  return {
    altitudeShiftRad,
    azimuthShiftRad,
    covariance: carried(back, sigmaReadRad ** 2, sigmaReadRad ** 2 + tiltRad ** 2),
  };
}

/** Standard deviation of where the star will stand, along the way it goes, from what is not known of the axis and of the base. */
export function sigmaPlaceRad(
  starNed: Vector3,
  latitudeRad: number,
  errors: AxisErrors,
  axisCovariance: Matrix2,
  place: FieldPlace,
): number {
  const [na, nz, ea, ez] = fieldMotion(starNed, latitudeRad, errors);
  const [aa, az, , zz] = axisCovariance;
  const across = shiftRad(place);
  const [n, e] = across > 0 ? [place.northRad / across, place.eastRad / across] : [Math.SQRT1_2, Math.SQRT1_2];
  const [a, z] = [n * na + e * ea, n * nz + e * ez];
  const tiltRad = tiltEastRad(starNed, latitudeRad, errors);
  return Math.sqrt(a * a * aa + 2 * a * z * az + z * z * zz + (e * tiltRad) ** 2);
}
