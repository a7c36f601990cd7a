import { arcsecond } from '../../calibration/angle.ts';
import { equatorialOf } from '../../calibration/equatorial.ts';
import { sideWithCounterweightBelow } from '../../calibration/sight/sightModel.ts';
import type { StarPlace } from '../../firmware-proto/virtual/eyepiece.ts';
import type { Eyepiece } from '../live/eyepiece.ts';
import type { Site } from '../site/site.ts';
import type { TypedReading } from '../steps/driftFile.ts';
import { placeOf } from '../sky/place.ts';
import type { Star } from '../sky/stars.ts';
import { seenDirection } from '../sky/visible.ts';

const everyMs = 20_000;
/** How often the virtual clock is looked at. */
const lookMs = 20;

/** Where a star stands in the sky of `site`, through the air, as the virtual eyepiece takes it. */
export const starPlace =
  (star: Star, site: Site) =>
  (utc: Date): StarPlace =>
    equatorialOf(seenDirection(placeOf({ kind: 'star', star }, site, utc)), site.latitudeRad);

/**
 * Follows a star in the virtual eyepiece for `minutes` and gives a reading every 20 s, in arcseconds north of the middle. Ends
 * early when the star leaves the field or `isOver` says so.
 */
export async function watchByEye(
  eyepiece: Eyepiece,
  site: Site,
  star: Star,
  minutes: number,
  onReading: (reading: TypedReading) => void,
  isOver: () => boolean = () => false,
): Promise<void> {
  const place = starPlace(star, site);
  const { hourAngleRad } = place(eyepiece.utc());
  await eyepiece.centre(place, sideWithCounterweightBelow(hourAngleRad), true);
  const startMs = eyepiece.utc().getTime();
  let nextMs = startMs;
  try {
    while (nextMs <= startMs + minutes * 60_000 && !isOver()) {
      const utc = eyepiece.utc();
      if (utc.getTime() >= nextMs) {
        const northRad = eyepiece.readNorth(place(utc));
        if (northRad === undefined) break;
        onReading({ star, utc, north: northRad / arcsecond });
        nextMs += everyMs;
      }
      await new Promise((resolve) => setTimeout(resolve, lookMs));
    }
  } finally {
    eyepiece.stopDrive();
  }
}
