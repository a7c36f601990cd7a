import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { Body } from 'astronomy-engine';
import { degree } from '../../calibration/angle.ts';
import { toNed } from '../../calibration/polarAxis.ts';
import { angleBetweenRad } from '../../calibration/vector.ts';
import { placeOf, type Target } from '../../host/sky/place.ts';
import { starNamed } from '../../host/sky/stars.ts';
import { polesOf } from '../../host/site/site.ts';

// Computed with ERFA 2.0.0 (the IAU SOFA algorithms); the file names its source, models and limits.
const reference = JSON.parse(readFileSync(new URL('altaz-reference.json', import.meta.url), 'utf8'));

const toleranceArcsec = { star: 2, sun: 5, moon: 30 } as const;

describe('apparent places against ERFA (altaz-reference.json)', () => {
  expect(reference.rows).toHaveLength(28);
  for (const row of reference.rows) {
    it(`case ${row.case}: ${row.name} at ${row.utc} from ${row.site}`, () => {
      const site = { latitudeRad: row.lat_deg * degree, longitudeRad: row.lon_deg * degree, elevationM: row.height_m };
      const star = row.kind === 'star' ? starNamed(`HIP ${row.hip}`) : undefined;
      if (row.kind === 'star') expect(star).toBeDefined();
      const target: Target = star
        ? { kind: 'star', star }
        : { kind: 'body', body: row.kind === 'sun' ? Body.Sun : Body.Moon };
      const place = placeOf(target, site, new Date(row.utc));
      const offsetArcsec =
        (angleBetweenRad(toNed(place), toNed({ altitudeRad: row.alt_deg * degree, azimuthRad: row.az_deg * degree })) /
          degree) *
        3600;
      const tolerance = toleranceArcsec[row.kind as keyof typeof toleranceArcsec];
      expect(offsetArcsec).toBeLessThan(tolerance);
      const cosDec = Math.cos(row.dec_apparent_deg * degree);
      expect(Math.abs(place.hourAngleRad / degree - row.hour_angle_deg) * 3600 * cosDec).toBeLessThan(tolerance);
      expect(Math.abs(place.declinationRad / degree - row.dec_apparent_deg) * 3600).toBeLessThan(tolerance);
      expect(Math.abs(place.refractedAltitudeRad / degree - row.alt_refracted_saemundsson_deg) * 3600).toBeLessThan(
        tolerance,
      );
      // Saemundsson's formula against ERFA's refraction: at most 10.8 arcsec in these cases.
      expect(Math.abs(place.refractedAltitudeRad / degree - row.alt_refracted_deg) * 3600).toBeLessThan(11 + tolerance);

      const { truePole, refractedPole } = polesOf(site);
      expect(truePole.altitudeRad / degree).toBeCloseTo(row.pole.alt_deg, 9);
      expect(truePole.azimuthRad / degree).toBeCloseTo(row.pole.az_deg, 9);
      expect(refractedPole.altitudeRad / degree).toBeCloseTo(row.pole.alt_refracted_saemundsson_deg, 5);
    });
  }
});
