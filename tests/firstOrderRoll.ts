import { equatorialOf } from '../calibration/equatorial.ts';
import {
  altitudeError,
  azimuthError,
  cone,
  nonPerpendicularity,
  rollZero,
  type Sight,
} from '../calibration/sight/sightModel.ts';

/**
 * First order of `predictedRoll`: H + h (x (cos lat tan d cos H - sin lat) + e tan d sin H) + r + s c / cos d + s p tan d,
 * x the azimuth and e the altitude error, h = +1 in the north and -1 in the south.
 */
export function firstOrderRoll(
  sight: Pick<Sight, 'starNed' | 'side'>,
  latitudeRad: number,
  unknown: ArrayLike<number>,
): number {
  const { hourAngleRad: h, declinationRad: d } = equatorialOf(sight.starNed, latitudeRad);
  const side = sight.side === 'west' ? 1 : -1;
  const tan = Math.tan(d);
  const axis =
    unknown[azimuthError] * (Math.cos(latitudeRad) * tan * Math.cos(h) - Math.sin(latitudeRad)) +
    unknown[altitudeError] * tan * Math.sin(h);
  return (
    h +
    (latitudeRad >= 0 ? 1 : -1) * axis +
    unknown[rollZero] +
    (side * unknown[cone]) / Math.cos(d) +
    side * unknown[nonPerpendicularity] * tan +
    (side < 0 ? Math.PI : 0)
  );
}
