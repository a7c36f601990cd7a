import { wrapTwoPi } from './angle.ts';
import type { Horizontal } from './polarAxis.ts';
import { cross, dot, norm, normalise, scale, subtract, type Vector3 } from './vector.ts';

/**
 * Where a direction of the board points, from corrected gravity and field by cross products (no angles in between).
 * Azimuth is from true north: magnetic azimuth plus the variation. NaN where the field stands plumb.
 * @param direction unit vector, board frame
 */
export function pointingOf(direction: Vector3, accelG: Vector3, fieldNt: Vector3, variationRad: number): Horizontal {
  const up = normalise(accelG);
  const north = normalise(subtract(fieldNt, scale(up, dot(fieldNt, up))));
  const east = cross(north, up);
  return {
    altitudeRad: Math.atan2(dot(direction, up), norm(cross(direction, up))),
    azimuthRad: wrapTwoPi(Math.atan2(dot(direction, east), dot(direction, north)) + variationRad),
  };
}
