import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { norm, type Vector3 } from '../../calibration/vector.ts';
import { drawField, fieldNed, fieldSigmas, modelledField } from '../../firmware-proto/virtual/field.ts';
import { dipoleField } from '../../firmware-proto/virtual/iron.ts';
import { Random } from '../../firmware-proto/virtual/random.ts';
import { scenes } from '../../firmware-proto/virtual/scenes.ts';

const read = (name: string) => JSON.parse(readFileSync(new URL(name, import.meta.url), 'utf8'));

describe('the Earth field of the virtual world', () => {
  it('agrees with the official WMM2025 test values of mid-year 2025 to 2026', () => {
    const rows = read('wmm2025-test-values.json').rows.filter(
      (row: { decimal_year: number }) => row.decimal_year >= 2025 && row.decimal_year <= 2026.5,
    );
    expect(rows.length).toBeGreaterThan(20);
    for (const row of rows) {
      const yearStart = Date.UTC(Math.floor(row.decimal_year), 0, 1);
      const date = new Date(yearStart + (row.decimal_year % 1) * 365 * 86_400_000);
      const place = {
        latitudeRad: row.lat_deg * degree,
        longitudeRad: row.lon_deg * degree,
        elevationM: row.height_km * 1000,
      };
      const [north, east, down] = fieldNed(modelledField(place, date));
      expect(Math.abs(north - row.x_nt)).toBeLessThan(0.01);
      expect(Math.abs(east - row.y_nt)).toBeLessThan(0.01);
      expect(Math.abs(down - row.z_nt)).toBeLessThan(0.01);
    }
  });

  it('has the declination sigma of the WMM2025 report at each horizontal field', () => {
    const rows = read('wmm2025-error-model.json').rows.filter((row: { h_nt?: number }) => row.h_nt !== undefined);
    expect(rows.length).toBe(8);
    for (const { h_nt, value } of rows) {
      const { variationRad } = fieldSigmas({ variationRad: 0, dipRad: 0, fieldNt: h_nt });
      expect(variationRad / degree).toBeCloseTo(value, 3);
    }
  });

  it('is drawn with exactly those errors', () => {
    const modelled = modelledField(
      { latitudeRad: 41.05 * degree, longitudeRad: -99 * degree, elevationM: 570 },
      new Date('2026-06-01'),
    );
    const sigma = fieldSigmas(modelled);
    const random = new Random(4);
    const drawn = Array.from({ length: 4000 }, () => drawField(modelled, random));
    for (const key of ['variationRad', 'dipRad', 'fieldNt'] as const) {
      const errors = drawn.map((field) => (field[key] - modelled[key]) / sigma[key]);
      const mean = errors.reduce((sum, error) => sum + error, 0) / errors.length;
      const spread = Math.sqrt(errors.reduce((sum, error) => sum + (error - mean) ** 2, 0) / errors.length);
      // Four standard errors of a mean and of a spread of 4000 normal draws.
      expect(Math.abs(mean)).toBeLessThan(0.064);
      expect(Math.abs(spread - 1)).toBeLessThan(0.045);
    }
  });

  it('stays at the edge of the model for dates outside it', () => {
    const { place } = scenes.orchard;
    expect(modelledField(place, new Date('2050-01-01'))).toEqual(modelledField(place, new Date('2029-11-12')));
    expect(modelledField(place, new Date('1990-01-01')).fieldNt).toBeGreaterThan(50_000);
  });

  it('has a variation of about 4 degrees east at 41 north in mid North America (common practice)', () => {
    const { variationRad } = modelledField(
      { latitudeRad: 41.05 * degree, longitudeRad: -99 * degree, elevationM: 570 },
      new Date('2026-06-01'),
    );
    expect(variationRad / degree).toBeGreaterThan(3.5);
    expect(variationRad / degree).toBeLessThan(4.5);
  });
});

/** J. D. Jackson, Classical Electrodynamics, 3rd ed., eq. 5.56 (number from memory); mu0/4pi = 1e-7 T m/A (SI brochure, to 1e-9). */
describe('the field of a lump of iron', () => {
  const moment: Vector3 = [0, 0, 1];
  const at = (separationM: Vector3) => dipoleField({ separationM, momentAm2: moment });

  it('is 200 nT along the axis and -100 nT across it for 1 A m^2 at 1 m', () => {
    expect(at([0, 0, 1])[2]).toBeCloseTo(200, 9);
    expect(at([0, 0, -1])[2]).toBeCloseTo(200, 9);
    expect(at([1, 0, 0])).toEqual([0, 0, -100]);
  });

  it('has the strength m sqrt(1 + 3 sin^2 latitude) / r^3 of the textbook dipole', () => {
    for (const latitude of [0, 20, 45, 70, 90]) {
      const separation: Vector3 = [1.3 * Math.cos(latitude * degree), 0, 1.3 * Math.sin(latitude * degree)];
      expect(norm(at(separation))).toBeCloseTo(
        (100 / 1.3 ** 3) * Math.sqrt(1 + 3 * Math.sin(latitude * degree) ** 2),
        9,
      );
    }
  });

  it('falls to an eighth at twice the distance', () => {
    expect(norm(at([0.4, 0.2, 0.6])) / norm(at([0.8, 0.4, 1.2]))).toBeCloseTo(8, 12);
  });
});
