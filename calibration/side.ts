import { wrapPi } from './angle.ts';
import type { Side } from './sight/sightModel.ts';

/**
 * Altitude of the counterweight's end of the declination axis, < 0: below level. That end lies on the celestial equator, a quarter
 * turn east of the target's hour angle while the tube is on the west side and a quarter turn west while it is on the east side;
 * a point of the equator at hour angle h has the altitude asin(cos lat cos h) (Meeus 1998, eq. 13.6). So with the tube on the
 * side of the target's own half of the sky it is asin(-cos lat sin|H|). Either hemisphere.
 * @param hourAngleRad west positive, -pi..pi
 */
export function counterweightAltitudeRad(hourAngleRad: number, latitudeRad: number, side: Side): number {
  const away = side === 'west' ? 1 : -1;
  return Math.asin(away * Math.cos(latitudeRad) * Math.sin(hourAngleRad));
}

/**
 * How far the target may still go, in hour angle, before the counterweight stands higher than `allowedRad`; 0 when it does already,
 * Infinity when it never will at this latitude.
 * @param allowedRad altitude of the counterweight that the user allows, 0: level
 */
export function hourAngleToFlipRad(hourAngleRad: number, latitudeRad: number, side: Side, allowedRad = 0): number {
  const sine = Math.sin(allowedRad) / Math.cos(latitudeRad);
  if (sine >= 1) return Infinity;
  if (counterweightAltitudeRad(hourAngleRad, latitudeRad, side) > allowedRad) return 0;
  // With the tube west the end rises through the limit here; with the tube east half a turn later.
  const limitRad = Math.asin(Math.max(sine, -1)) + (side === 'west' ? 0 : Math.PI);
  const ahead = wrapPi(limitRad - hourAngleRad);
  return ahead >= 0 ? ahead : ahead + 2 * Math.PI;
}
