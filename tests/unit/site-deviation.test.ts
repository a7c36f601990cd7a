import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { polarErrors, truePole } from '../../calibration/polarAxis.ts';
import { keepStandoffDeviation, keepSunDeviation } from '../../host/store/deviation.ts';
import { fieldAt } from '../../host/site/field.ts';
import type { Site } from '../../host/site/site.ts';

import { loadSite, saveSite } from '../../host/store/site.ts';

const home = mkdtempSync(join(tmpdir(), 'lodepole-sun-'));
beforeAll(() => {
  process.env.LODEPOLE_HOME = home;
});
afterAll(() => {
  delete process.env.LODEPOLE_HOME;
  rmSync(home, { recursive: true });
});

const date = new Date('2026-12-01T17:00:00Z');
const utc = new Date('2026-12-01T17:00:00Z');

describe.each([47, -33.5])('a deviation found by the Sun at latitude %d', (latitudeDeg) => {
  it('is kept with the site and makes the compass agree with the Sun, also when found twice', async () => {
    const site: Site = { latitudeRad: latitudeDeg * degree, longitudeRad: 0.3, elevationM: 100, horizon: [] };
    await saveSite(site);
    const pole = truePole(site.latitudeRad);
    const trueAzimuthRad = pole.azimuthRad + 1.5 * degree;
    const realVariationRad = fieldAt(site, date).variationRad + 2 * degree;
    const byCompass = (known: Site) =>
      polarErrors(
        {
          altitudeRad: pole.altitudeRad,
          azimuthRad: trueAzimuthRad - realVariationRad + fieldAt(known, date).variationRad,
        },
        pole,
      ).azimuthErrorRad;
    const bySun = polarErrors({ altitudeRad: pole.altitudeRad, azimuthRad: trueAzimuthRad }, pole).azimuthErrorRad;
    for (let times = 0; times < 2; times += 1) {
      const known = (await loadSite())!;
      await keepSunDeviation(known, byCompass(known) - bySun, 0.3 * degree, utc);
      const later = (await loadSite())!;
      expect(later.deviation?.eastRad).toBeCloseTo(2 * degree, 8);
      expect(byCompass(later)).toBeCloseTo(bySun, 8);
      expect(fieldAt(later, date).notes.join()).toContain('found by the Sun');
      expect(fieldAt(later, date).sigmaVariationRad).toBeCloseTo(0.3 * degree, 8);
    }
  });

  it('is not kept for another place', async () => {
    const site: Site = { latitudeRad: latitudeDeg * degree, longitudeRad: 0.3, elevationM: 100 };
    await saveSite(site);
    await keepSunDeviation({ ...site, longitudeRad: 0.4 }, 0.1, 0.01, utc);
    expect((await loadSite())?.deviation).toBeUndefined();
  });
});

describe('a deviation found by a stand-off', () => {
  const site: Site = { latitudeRad: -33.5 * degree, longitudeRad: 2.6, elevationM: 100 };
  const found = { eastRad: -1.2 * degree, sigmaRad: 0.4 * degree, keptUtc: utc.toISOString() };

  it('adds to the variation, its sigma to that of the model, and is said', async () => {
    await saveSite(site);
    const plain = fieldAt(site, date);
    await keepStandoffDeviation(site, found);
    const corrected = fieldAt((await loadSite())!, date);
    expect(corrected.variationRad - plain.variationRad).toBeCloseTo(found.eastRad, 8);
    expect(corrected.sigmaVariationRad).toBeCloseTo(Math.hypot(plain.sigmaVariationRad, found.sigmaRad), 8);
    expect(corrected.notes.join()).toMatch(/1\.20° toward west, give or take 0\.80°, found by a stand-off/);
  });

  it('is replaced by the Sun, which finds all of it, and does not replace the Sun', async () => {
    await saveSite(site);
    await keepStandoffDeviation(site, found);
    await keepSunDeviation((await loadSite())!, 0.5 * degree, 0.9 * degree, utc);
    const bySun = (await loadSite())!;
    expect(bySun.deviation).toMatchObject({ foundBy: 'the Sun' });
    expect(bySun.deviation?.eastRad).toBeCloseTo(-0.7 * degree, 8);
    expect(fieldAt(bySun, date).sigmaVariationRad).toBeCloseTo(0.9 * degree, 8);
    await expect(keepStandoffDeviation(site, found)).rejects.toThrow('found by the Sun already includes this iron');
    expect((await loadSite())!.deviation).toEqual(bySun.deviation);
  });

  it('is refused for a site that is not the saved one, with the command that saves this one', async () => {
    await saveSite({ latitudeRad: 47.26 * degree, longitudeRad: -112.5 * degree, elevationM: 0 });
    await expect(keepStandoffDeviation(site, found)).rejects.toMatchObject({
      whatToDo: expect.stringContaining('lodepole site --lat -33.5 --lon 148.96903 --save'),
    });
  });
});
