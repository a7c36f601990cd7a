import { degree, wrapTwoPi } from './angle.ts';
import type { Horizontal } from './polarAxis.ts';
import { cross, dot, normalise, scale, subtract, type Vector3 } from './vector.ts';

/** The shadow of a pin that stands square on the board's face (its z axis), in sunlight. */
interface PinShadow {
  /** Direction in which the shadow falls on the face: from the board's x axis toward its y axis. */
  shadowRad: number;
  /** Corrected accelerometer at rest, board frame. */
  accelG: Vector3;
}

interface SunAzimuth {
  /** True azimuth of the asked direction of the board. */
  azimuthRad: number;
  sigmaAzimuthRad: number;
}

/** How well a shadow's direction is read against the scale on the board (common practice), and how level gravity is. */
export const usualShadowSigmas = { shadowRad: 0.5 * degree, tiltRad: 0.05 * degree };

/**
 * Direction toward the Sun in the board's frame: it lies in the plane of pin and shadow, over the face, at the Sun's
 * altitude above gravity's horizon. Throws RangeError when no such direction is there: the shadow cannot be the Sun's.
 */
export function sunInBoard({ shadowRad, accelG }: PinShadow, sunAltitudeRad: number): Vector3 {
  const up = normalise(accelG);
  const pin: Vector3 = [0, 0, 1];
  const toward: Vector3 = [-Math.cos(shadowRad), -Math.sin(shadowRad), 0];
  // toward cos e + pin sin e with e in 0..90 degrees above the face: a cos e + b sin e = sin(altitude).
  const [a, b] = [dot(toward, up), dot(pin, up)];
  const size = Math.hypot(a, b);
  const ratio = Math.sin(sunAltitudeRad) / size;
  if (!(Math.abs(ratio) <= 1)) throw new RangeError('sun: no direction over this shadow has the altitude of the Sun');
  const middle = Math.atan2(b, a);
  const half = Math.acos(ratio);
  const slack = 0.5 * degree;
  const over = [middle - half, middle + half].filter((e) => e > -slack && e < Math.PI / 2 + slack);
  if (over.length === 0) throw new RangeError('sun: the Sun would stand under the face of the board');
  if (over.length === 2) throw new RangeError('sun: two directions of the Sun fit this shadow; tilt the face less');
  return [toward[0] * Math.cos(over[0]), toward[1] * Math.cos(over[0]), Math.sin(over[0])];
}

function azimuthFrom(shadow: PinShadow, sun: Horizontal, direction: Vector3): number {
  const up = normalise(shadow.accelG);
  const inBoard = sunInBoard(shadow, sun.altitudeRad);
  const flat = (v: Vector3): Vector3 => subtract(v, scale(up, dot(v, up)));
  const [from, to] = [flat(inBoard), flat(direction)];
  // Azimuth grows clockwise seen from above, that is left-handed about up.
  return wrapTwoPi(sun.azimuthRad - Math.atan2(dot(up, cross(from, to)), dot(from, to)));
}

/**
 * True azimuth of a direction of the board (the polar axis) from the shadow of a pin, no magnetometer used; its sigma from
 * small changes of the shadow and of gravity. The Sun is seen through the air: give its refracted altitude.
 * Throws RangeError as `sunInBoard`.
 */
export function azimuthBySun(
  shadow: PinShadow,
  sun: Horizontal,
  direction: Vector3,
  sigmas = usualShadowSigmas,
): SunAzimuth {
  const azimuthRad = azimuthFrom(shadow, sun, direction);
  const change = (moved: PinShadow, step: number, sigma: number): number => {
    const difference = azimuthFrom(moved, sun, direction) - azimuthRad;
    return (Math.atan2(Math.sin(difference), Math.cos(difference)) / step) * sigma;
  };
  const step = 1e-4;
  const up = normalise(shadow.accelG);
  const tilted = (axis: Vector3): PinShadow => ({ ...shadow, accelG: normalise(subtract(up, scale(axis, -step))) });
  const first = normalise(cross(up, Math.abs(up[0]) < 0.6 ? [1, 0, 0] : [0, 1, 0]));
  return {
    azimuthRad,
    sigmaAzimuthRad: Math.hypot(
      change({ ...shadow, shadowRad: shadow.shadowRad + step }, step, sigmas.shadowRad),
      change(tilted(first), step, sigmas.tiltRad),
      change(tilted(cross(up, first)), step, sigmas.tiltRad),
    ),
  };
}
