// What the size of numbers says of a unit that nobody named: only what leaves no doubt. Counts to a unit are out of memory of the
// datasheets named beside them.
import { describe, expect, test } from 'vitest';
import type { Vector3 } from '../../calibration/vector.ts';
import { accelerationUnit, fieldUnit, magnitudeOf } from '../../host/capture/csv/units.ts';
import { unitNamed } from '../../host/capture/csv/units.ts';
import { readings } from './csvTruth.ts';

const all = readings(60, 5);
/** The board's readings in another unit, whole or not, with iron beside the chip. */
const field = (scale: number, { isWhole = false, iron = 0, count = 60 } = {}): Vector3[] =>
  all.slice(0, count).map(({ m }) => {
    const [x, y, z] = m.map((value) => (value + iron) * scale).map((value) => (isWhole ? Math.round(value) : value));
    return [x, y, z];
  });
const acceleration = (scale: number, isWhole = false): Vector3[] =>
  all.map(({ a }) => {
    const [x, y, z] = a.map((value) => (isWhole ? Math.round(value * scale) : value * scale));
    return [x, y, z];
  });
const counts = 'counts of unknown scale';

describe('a field without a unit', () => {
  test.each([
    ['microtesla', field(1), 'microtesla'],
    ['gauss', field(0.01), 'gauss'],
    ['milligauss that swing', field(10), 'milligauss'],
    ['nanotesla', field(1000), 'nanotesla'],
    ['tesla', field(1e-6), 'tesla'],
    ['tesla in whole counts of nothing', field(1e-6, { isWhole: true }), counts],
    ['AK8963, 0.15 microtesla to a count: like milligauss', field(1 / 0.15, { isWhole: true }), counts],
    ['HMC5883L, 1090 counts to a gauss: like milligauss', field(10.9, { isWhole: true }), counts],
    ['RM3100, 75 counts to a microtesla', field(75, { isWhole: true }), counts],
    ['microtesla beside a magnet: like milligauss', field(1, { iron: 200 }), counts],
    ['milligauss at rest: like microtesla beside a magnet', field(10, { count: 1 }), counts],
    ['about one: arbitrary units or gauss', field(1 / 48), counts],
  ])('%s', (_, vectors, unit) => {
    expect(fieldUnit(magnitudeOf(vectors)!).unit).toBe(unit);
  });
});

describe('an acceleration without a unit', () => {
  test.each([
    ['g', acceleration(1), 'g'],
    ['m/s²', acceleration(9.80665), 'm/s²'],
    ['mg', acceleration(1000), 'mg'],
    ['whole mg: like 1024 counts to 1 g (MMA8452Q)', acceleration(1000, true), counts],
    ['MPU-6050, 16384 counts to 1 g', acceleration(16384, true), counts],
    ['without gravity', acceleration(0.02), undefined],
    ['three times gravity in no unit', acceleration(3), undefined],
  ])('%s', (_, vectors, unit) => {
    expect(accelerationUnit(magnitudeOf(vectors)!)?.unit).toBe(unit);
  });
});

describe('units by name', () => {
  // Factors by definition: SI Brochure 9 (tesla), 1 gauss = 1e-4 tesla, standard gravity 9.80665 m/s² (3rd CGPM, 1901).
  test.each([
    ['accelerometer', ['g', 'G', 'Gs'], 1],
    ['accelerometer', ['mg', 'mG'], 1e-3],
    [
      'accelerometer',
      ['m/s^2', 'm/s²', 'm/s2', 'm s^-2', 'm·s⁻²', 'm/(s^2)', 'ms2', 'mps2', 'm_s2', 'm/s/s'],
      1 / 9.80665,
    ],
    ['magnetometer', ['uT', 'µT', 'μT', 'UT', 'microtesla', 'u T'], 1],
    ['magnetometer', ['nT', 'nanotesla'], 1e-3],
    ['magnetometer', ['T', 'tesla'], 1e6],
    ['magnetometer', ['G', 'Gauss', 'ga', 'Gs'], 100],
    ['magnetometer', ['mG', 'mGauss', 'milligauss'], 0.1],
    ['gyro', ['dps', 'deg/s', '°/s', 'º/s', 'deg_s', 'degrees/second'], 1],
    ['gyro', ['rad/s', 'rad s^-1', 'rads', 'rad·s⁻¹'], 180 / Math.PI],
  ] as const)('%s in %s', (sensor, spellings, factor) => {
    for (const spelling of spellings)
      expect([spelling, unitNamed(sensor, spelling)?.factor]).toEqual([spelling, factor]);
  });

  test('what is no unit of the sensor is none', () => {
    expect(unitNamed('accelerometer', 'uT')).toBeUndefined();
    expect(unitNamed('magnetometer', 'm/s2')).toBeUndefined();
    expect(unitNamed('magnetometer', 'furlong')).toBeUndefined();
  });
});
