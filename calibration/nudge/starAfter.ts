import type { AxisErrors } from '../drift/driftModel.ts';
import { axisFrame } from '../equatorial.ts';
import { axisWithErrors, truePole } from '../polarAxis.ts';
import {
  apply,
  cross,
  dot,
  multiply,
  normalise,
  rotationAbout,
  scale,
  subtract,
  type Matrix3,
  type Vector3,
} from '../vector.ts';

/** Where a star stands from the field's centre, radians on the sky; north toward the celestial north pole, in either hemisphere. */
export interface FieldPlace {
  northRad: number;
  eastRad: number;
}

/** The way that a star went in the field. */
export const wayInField = (from: FieldPlace, to: FieldPlace): FieldPlace => ({
  northRad: to.northRad - from.northRad,
  eastRad: to.eastRad - from.eastRad,
});

export const home: AxisErrors = { altitudeErrorRad: 0, azimuthErrorRad: 0 };

const down: Vector3 = [0, 0, 1];

/** The level line about which the altitude bolt turns an axis at this azimuth; right-handed about it raises the axis. */
const altitudeLine = (azimuthRad: number): Vector3 => [-Math.sin(azimuthRad), Math.cos(azimuthRad), 0];

/**
 * Rotation of all that stands on the mount's base when the bolts take the axis from one error to another: azimuth about the
 * vertical, then altitude about the level line square to the axis' azimuth (own derivation; the altitude bolt is carried by the
 * azimuth, so that the order in which they are turned does not matter). The base is taken as level.
 */
export function baseTurn(latitudeRad: number, from: AxisErrors, to: AxisErrors): Matrix3 {
  const pole = truePole(latitudeRad);
  const [before, after] = [from, to].map((axis) => axisWithErrors(pole, axis.altitudeErrorRad, axis.azimuthErrorRad));
  return multiply(
    rotationAbout(altitudeLine(after.azimuthRad), after.altitudeRad - before.altitudeRad),
    rotationAbout(down, after.azimuthRad - before.azimuthRad),
  );
}

/** Unit vectors toward celestial north and east in the sky at a direction. */
function skyTangents(direction: Vector3, latitudeRad: number): { north: Vector3; east: Vector3 } {
  const pole = axisFrame(latitudeRad, 0).north;
  const east = normalise(cross(pole, direction));
  return { north: normalise(subtract(pole, scale(direction, dot(pole, direction)))), east };
}

/**
 * A star is centred, then the bolts take the axis from one error to another while the drive runs: the tube turns with the base
 * and leaves the star behind. Its place is the difference of both directions in the tangent plane of the tube's (own derivation).
 * @param starNed direction in which the star is seen, refraction included
 */
export function starAfter(starNed: Vector3, latitudeRad: number, from: AxisErrors, to: AxisErrors): FieldPlace {
  const tube = apply(baseTurn(latitudeRad, from, to), starNed);
  const { north, east } = skyTangents(tube, latitudeRad);
  const left = subtract(starNed, tube);
  return { northRad: dot(left, north), eastRad: dot(left, east) };
}

/** Row-major 2 x 2: north and east motion of a centred star for one radian of shift of the altitude and of the azimuth error. */
type FieldMotion = readonly [number, number, number, number];

/** First order of `starAfter` at the axis' errors: the star goes by -omega x s where the base turns by omega. */
export function fieldMotion(starNed: Vector3, latitudeRad: number, errors: AxisErrors = home): FieldMotion {
  const { azimuthRad } = axisWithErrors(truePole(latitudeRad), errors.altitudeErrorRad, errors.azimuthErrorRad);
  const { north, east } = skyTangents(starNed, latitudeRad);
  const byAltitude = cross(starNed, altitudeLine(azimuthRad));
  const byAzimuth = scale(cross(starNed, down), latitudeRad >= 0 ? 1 : -1);
  return [dot(byAltitude, north), dot(byAzimuth, north), dot(byAltitude, east), dot(byAzimuth, east)];
}

export const shiftRad = ({ northRad, eastRad }: FieldPlace): number => Math.hypot(northRad, eastRad);
