import { degree } from '../../../calibration/angle.ts';
import type { Site } from '../../site/site.ts';
import { placeOf } from '../../sky/place.ts';
import type { Star } from '../../sky/stars.ts';
import type { Drawing } from '../messages.ts';

interface SeenStar {
  star: Star;
  utc: Date;
}

const deg = (angleRad: number): number => Number((angleRad / degree).toFixed(1));

/** What hides the sky, the stars that were taken, where they stood then, and the one to take. */
export function skylineOf(site: Site, taken: readonly SeenStar[], next: SeenStar | undefined): Drawing {
  const marked = ({ star, utc }: SeenStar, mark: 'taken' | 'next') => {
    const { azimuthRad, refractedAltitudeRad } = placeOf({ kind: 'star', star }, site, utc);
    return { label: star.name, azimuthDeg: deg(azimuthRad), altitudeDeg: deg(refractedAltitudeRad), mark };
  };
  return {
    kind: 'skyline',
    hidden: (site.horizon ?? []).map(({ fromAzimuthRad, toAzimuthRad, altitudeRad }) => ({
      fromAzimuthDeg: deg(fromAzimuthRad),
      toAzimuthDeg: deg(toAzimuthRad),
      altitudeDeg: deg(altitudeRad),
    })),
    stars: [...taken.map((star) => marked(star, 'taken')), ...(next ? [marked(next, 'next')] : [])],
  };
}
