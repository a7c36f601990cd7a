import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { decimalYear, fieldAt, modelError, sigmaVariationRad } from '../../host/site/field.ts';

const read = (name: string) => JSON.parse(readFileSync(new URL(name, import.meta.url), 'utf8'));

/** The instant of a decimal year with the true length of that year. */
function instantOf(decimal: number): Date {
  const year = Math.floor(decimal);
  const start = Date.UTC(year, 0, 1);
  return new Date(Math.round(start + (decimal - year) * (Date.UTC(year + 1, 0, 1) - start)));
}

const siteOf = (row: { lat_deg: number; lon_deg: number; height_km: number }) => ({
  latitudeRad: row.lat_deg * degree,
  longitudeRad: row.lon_deg * degree,
  elevationM: row.height_km * 1000,
});

describe('World Magnetic Model 2025, official test values (NOAA NCEI and BGS, doi 10.25921/aqfd-sd83)', () => {
  const { rows } = read('wmm2025-test-values.json');
  expect(rows).toHaveLength(70);
  for (const row of rows) {
    it(`row ${row.row}: ${row.lat_deg}, ${row.lon_deg}, ${row.height_km} km, ${row.decimal_year}`, () => {
      const field = fieldAt(siteOf(row), instantOf(row.decimal_year));
      // The published X, H and F differ by up to 0.0007 nT from three agreeing syntheses; Y and Z agree to their last digit.
      expect(Math.abs(field.northNt - row.x_nt)).toBeLessThan(0.001);
      expect(Math.abs(field.eastNt - row.y_nt)).toBeLessThan(3e-6);
      expect(Math.abs(field.downNt - row.z_nt)).toBeLessThan(3e-6);
      expect(Math.abs(field.horizontalNt - row.h_nt)).toBeLessThan(0.001);
      expect(Math.abs(field.fieldNt - row.f_nt)).toBeLessThan(0.001);
      expect(Math.abs(field.variationRad / degree - row.decl_deg)).toBeLessThan(0.00501);
      expect(Math.abs(field.dipRad / degree - row.incl_deg)).toBeLessThan(0.00501);
      expect(field.zone).toBe(row.h_nt < 2000 ? 'blackout' : row.h_nt < 6000 ? 'caution' : 'ok');
    });
  }
});

describe('World Magnetic Model 2025, test values of the technical report', () => {
  const { rows } = read('wmm2025-report-table.json');
  expect(rows).toHaveLength(12);
  for (const row of rows) {
    it(`${row.lat_deg}, ${row.lon_deg}, ${row.height_km} km, ${row.decimal_year}`, () => {
      const field = fieldAt(siteOf(row), instantOf(row.decimal_year));
      const rounding = 0.0501;
      expect(Math.abs(field.northNt - row.x_nt)).toBeLessThan(rounding);
      expect(Math.abs(field.eastNt - row.y_nt)).toBeLessThan(rounding);
      expect(Math.abs(field.downNt - row.z_nt)).toBeLessThan(rounding);
      expect(Math.abs(field.fieldNt - row.f_nt)).toBeLessThan(rounding);
      expect(Math.abs(field.variationRad / degree - row.decl_deg)).toBeLessThan(0.00501);
    });
  }
});

describe('error model of the WMM2025 report (doi 10.25923/prbc-s316), section 3.4', () => {
  const { rows } = read('wmm2025-error-model.json');
  const valueOf = (element: string) => rows.find((row: { element: string }) => row.element === element).value;

  it('states the published sigmas of dip, strength and horizontal field', () => {
    expect(modelError.dipRad / degree).toBeCloseTo(valueOf('I'), 12);
    expect(modelError.fieldNt).toBe(valueOf('F'));
    expect(modelError.horizontalNt).toBe(valueOf('H'));
  });

  const computed: { h_nt: number; value: number }[] = rows.filter((row: object) => 'h_nt' in row);
  it.each(computed)('equation 43 at H = $h_nt nT gives $value degrees', (row) => {
    expect(sigmaVariationRad(row.h_nt) / degree).toBeCloseTo(row.value, 3);
  });
});

describe('dates', () => {
  const site = { latitudeRad: 41 * degree, longitudeRad: -97 * degree, elevationM: 400 };

  it('counts leap years in full', () => {
    expect(decimalYear(new Date('2028-07-02T00:00:00Z'))).toBeCloseTo(2028.5, 12);
    expect(decimalYear(new Date('2027-07-02T12:00:00Z'))).toBeCloseTo(2027.5, 12);
  });

  it('goes on to the end of 2029, past the date at which the geomagnetism package throws', () => {
    const before = fieldAt(site, new Date('2029-11-13T00:00:00Z'));
    const after = fieldAt(site, new Date('2029-12-31T23:59:00Z'));
    expect(after.notes).toEqual([]);
    expect(after.sigmaVariationRad).toBeCloseTo(before.sigmaVariationRad, 5);
    expect(after.eastNt).not.toBe(before.eastNt);
    expect(Math.abs(after.eastNt - before.eastNt)).toBeLessThan(20);
  });

  it.each(['2019-01-01', '2034-06-01'])('says loudly that %s is outside the model, with wider sigmas', (day) => {
    const field = fieldAt(site, new Date(day));
    expect(field.notes.join()).toContain('outside the World Magnetic Model');
    expect(field.sigmaVariationRad).toBeGreaterThan(1.2 * sigmaVariationRad(field.horizontalNt));
    expect(Number.isFinite(field.fieldNt)).toBe(true);
  });

  it('about 41 north in the middle of North America the variation is about 4 east (common practice)', () => {
    expect(Math.abs(fieldAt(site, new Date('2026-11-25')).variationRad / degree - 4)).toBeLessThan(1.5);
  });
});
