import { skyRadPerS } from '../enough.ts';
import { axisFrame, equatorialOf } from '../equatorial.ts';
import { cross, dot, scale, subtract, type Vector3 } from '../vector.ts';

/** Errors of the polar axis by the contract's signs. */
export interface AxisErrors {
  altitudeErrorRad: number;
  azimuthErrorRad: number;
}

/** Frame of the axis with errors: its northern end and the directions of hour angle zero and a quarter turn. */
function frameOf(latitudeRad: number, { altitudeErrorRad, azimuthErrorRad }: AxisErrors) {
  const hemisphere = latitudeRad >= 0 ? 1 : -1;
  return axisFrame(latitudeRad + hemisphere * altitudeErrorRad, hemisphere * azimuthErrorRad);
}

/**
 * Declination of a direction about the axis with errors, and its derivatives by altitude and azimuth error. While the
 * mount follows the sky, the change of this number is how far the star moves north in the field.
 */
export function mountDeclination(
  starNed: Vector3,
  latitudeRad: number,
  errors: AxisErrors,
): { declinationRad: number; byAltitude: number; byAzimuth: number } {
  const hemisphere = latitudeRad >= 0 ? 1 : -1;
  const { north, meridian, west } = frameOf(latitudeRad, errors);
  const [n, m, w] = [dot(starNed, north), dot(starNed, meridian), dot(starNed, west)];
  const cosDec = Math.hypot(m, w);
  const cosAltitude = Math.cos(latitudeRad + hemisphere * errors.altitudeErrorRad);
  return {
    declinationRad: Math.atan2(n, cosDec),
    byAltitude: (hemisphere * m) / cosDec,
    byAzimuth: (-hemisphere * cosAltitude * w) / cosDec,
  };
}

/** Angle at the star from the true north to the mount's north, positive through east: its change is the field's rotation. */
export function fieldAngle(starNed: Vector3, latitudeRad: number, errors: AxisErrors): number {
  const toward = (pole: Vector3): Vector3 => subtract(pole, scale(starNed, dot(pole, starNed)));
  const mount = toward(frameOf(latitudeRad, errors).north);
  const sky = toward(axisFrame(latitudeRad, 0).north);
  return Math.atan2(dot(mount, cross(sky, starNed)), dot(mount, sky));
}

/**
 * How fast declination drifts for one radian of each error, first order, radians per second: -omega h sin H for the
 * altitude and -omega h cos lat cos H for the azimuth, h = +1 in the north and -1 in the south.
 */
export function driftRates(starNed: Vector3, latitudeRad: number): { byAltitude: number; byAzimuth: number } {
  const { hourAngleRad } = equatorialOf(starNed, latitudeRad);
  const turn = -skyRadPerS * (latitudeRad >= 0 ? 1 : -1);
  return {
    byAltitude: turn * Math.sin(hourAngleRad),
    byAzimuth: turn * Math.cos(latitudeRad) * Math.cos(hourAngleRad),
  };
}
