import { degree } from '../../calibration/angle.ts';
import { toNed } from '../../calibration/polarAxis.ts';
import type { Vector3 } from '../../calibration/vector.ts';
import { isHidden } from '../site/horizon.ts';
import type { Site } from '../site/site.ts';
import { checkDate, placeOf, type Place } from './place.ts';
import { faintestMagnitude } from './starlight.ts';
import { stars, type Star } from './stars.ts';

export interface VisibleStar {
  star: Star;
  place: Place;
  /** Where it is seen, through the air. */
  starNed: Vector3;
}

/** Below this the air blurs and bends too much; above that a tube is hard to bring and to look through. */
export const lowestAltitudeRad = 12 * degree;
const highestAltitudeRad = 84 * degree;

export const seenDirection = ({ refractedAltitudeRad, azimuthRad }: Place): Vector3 =>
  toNed({ altitudeRad: refractedAltitudeRad, azimuthRad });

/** The shipped stars that stand well at `date`, by day as well: at a handy altitude and not behind what is marked on the horizon. */
export function visibleStars(site: Site, date: Date): VisibleStar[] {
  checkDate(date);
  return stars.flatMap((star) => {
    const place = placeOf({ kind: 'star', star }, site, date);
    const { refractedAltitudeRad: altitude, azimuthRad } = place;
    if (altitude < lowestAltitudeRad || altitude > highestAltitudeRad) return [];
    if (isHidden(site.horizon, azimuthRad, altitude)) return [];
    return [{ star, place, starNed: seenDirection(place) }];
  });
}

/** Those of the stars that stand well which may be taken for the Sun's sake. */
export function starsToTake(site: Site, date: Date): VisibleStar[] {
  const faintest = faintestMagnitude(site, date);
  return faintest === -Infinity ? [] : visibleStars(site, date).filter(({ star }) => star.magnitude <= faintest);
}

const points = ['north', 'north-east', 'east', 'south-east', 'south', 'south-west', 'west', 'north-west'];

/** "38° up in the south-east". */
export const whereWords = ({ refractedAltitudeRad, azimuthRad }: Place): string =>
  `${(refractedAltitudeRad / degree).toFixed(0)}° up in the ${points[Math.round(azimuthRad / (45 * degree)) % 8]}`;
