import { readFileSync } from 'node:fs';
import { Body } from 'astronomy-engine';
import { describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { toNed, truePole } from '../../calibration/polarAxis.ts';
import { cross, normalise, scale } from '../../calibration/vector.ts';
import { mountSideOf } from '../../host/sky/mountSide.ts';
import { placeOf, type Target } from '../../host/sky/place.ts';
import { starNamed } from '../../host/sky/stars.ts';

// Computed with ERFA 2.0.0 (the IAU SOFA algorithms); the file names its source, models and limits.
const reference = JSON.parse(readFileSync(new URL('altaz-reference.json', import.meta.url), 'utf8'));

const targetOf = ({ kind, hip }: { kind: string; hip: number }): Target => {
  if (kind !== 'star') return { kind: 'body', body: kind === 'sun' ? Body.Sun : Body.Moon };
  const star = starNamed(`HIP ${hip}`);
  if (!star) throw new Error(`HIP ${hip}`);
  return { kind: 'star', star };
};

/**
 * Altitude of the counterweight by vectors alone: the declination axis is square to the polar axis and to the star, and its
 * counterweight end is the one that lies east of a star with the tube west of the mount.
 */
function counterweightAltitudeDeg(row: Record<string, number>, tubeIsWest: boolean): number {
  const pole = toNed(truePole(row.lat_deg * degree));
  const north = scale(pole, row.lat_deg >= 0 ? 1 : -1);
  const star = toNed({ altitudeRad: row.alt_deg * degree, azimuthRad: row.az_deg * degree });
  // North pole times star points a quarter turn to the east along the equator.
  const east = normalise(cross(north, star));
  return Math.asin(-(tubeIsWest ? 1 : -1) * east[2]) / degree;
}

describe('side of the mount against ERFA (altaz-reference.json)', () => {
  expect(reference.rows).toHaveLength(28);
  for (const row of reference.rows) {
    it(`case ${row.case}: ${row.name} from ${row.site}`, () => {
      const site = { latitudeRad: row.lat_deg * degree, longitudeRad: row.lon_deg * degree, elevationM: row.height_m };
      const date = new Date(row.utc);
      const target = targetOf(row);
      const { place, side, minutesToMeridian, minutesToFlip, ...rest } = mountSideOf(target, site, date);
      expect(Math.abs(place.hourAngleRad / degree - row.hour_angle_deg)).toBeLessThan(0.1);
      expect(Math.abs(place.altitudeRad / degree - row.alt_deg)).toBeLessThan(0.1);
      expect(side).toBe(row.hour_angle_deg < 0 ? 'west' : 'east');
      const byVectors = counterweightAltitudeDeg(row, side === 'west');
      expect(rest.counterweightAltitudeRad / degree).toBeCloseTo(byVectors, 1);
      expect(byVectors).toBeLessThanOrEqual(0);

      const meridian = placeOf(target, site, new Date(date.getTime() + minutesToMeridian * 60_000));
      expect(Math.abs(meridian.hourAngleRad / degree)).toBeLessThan(0.005);
      expect(Math.sign(minutesToMeridian)).toBe(-Math.sign(row.hour_angle_deg));
      // Level again at the meridian above (tube west) or below the pole (tube east).
      const flip = placeOf(target, site, new Date(date.getTime() + (minutesToFlip ?? NaN) * 60_000));
      const wanted = side === 'west' ? 0 : 180;
      expect(Math.abs(Math.abs(flip.hourAngleRad / degree) - wanted)).toBeLessThan(0.005);
    });
  }
});
