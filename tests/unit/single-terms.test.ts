import { describe, expect, it } from 'vitest';
import { arcsecond, degree } from '../../calibration/angle.ts';
import type { LevelledReading } from '../../calibration/live/attitude.ts';
import { DisturbanceWatch } from '../../calibration/live/disturbance.ts';
import { Turning } from '../../calibration/live/turning.ts';
import { clipOnlyModel, uncalibratedModel } from '../../calibration/live/uncalibrated.ts';
import { lockShift } from '../../calibration/lock.ts';
import { sunInBoard } from '../../calibration/sun.ts';
import { type Vector3, vector3 } from '../../calibration/vector.ts';
import type { Place } from '../../host/sky/place.ts';
import { requireStar } from '../../host/sky/stars.ts';
import { whereWords } from '../../host/sky/visible.ts';
import { judgeDrift } from '../../host/steps/drift.ts';
import { plainAxisModel } from './plainAxisModel.ts';

/** One term of one formula at a time, worked out by hand from unequal numbers. */
describe('single terms', () => {
  it('words of the compass: eight points, each 45 degrees wide about its middle', () => {
    const where = (azimuthDeg: number): string =>
      whereWords({ refractedAltitudeRad: 38 * degree, azimuthRad: azimuthDeg * degree } as Place);
    expect(where(135)).toBe('38° up in the south-east');
    const words = [20, 50, 100, 140, 190, 230, 260, 300, 340].map((azimuth) => where(azimuth).split('in the ')[1]);
    expect(words).toEqual([
      'north',
      'north-east',
      'east',
      'south-east',
      'south',
      'south-west',
      'west',
      'north-west',
      'north',
    ]);
  });

  const reading = (fieldNt: number, dipRad: number, up: Vector3 = [0, 0, 1]): LevelledReading => ({
    north: 1,
    east: 0,
    sinAltitude: 0.6,
    cosAltitude: 0.8,
    gravityG: 1,
    fieldNt,
    horizontalNt: fieldNt * Math.cos(dipRad),
    dipRad,
    upX: up[0],
    upY: up[1],
    upZ: up[2],
  });

  /** How much strength and dip of a good calibration differ between attitudes, as the watch has it. */
  const attitude = { strength: 0.002, dipRad: 0.1 * degree };

  it('a field whose dip alone is off is disturbed, and opens the azimuth by that dip', () => {
    const watch = new DisturbanceWatch({ ...plainAxisModel, fieldNt: 54_000, dipRad: 1.1, sigmaDipRad: 0.004 });
    for (let i = 0; i < 100; i += 1) watch.offer(reading(54_000, 1.14), 0.01, false, 1, 0);
    expect(watch.deviationSigmas).toBeCloseTo(0.04 / Math.hypot(0.004, attitude.dipRad), 6);
    expect(watch.disturbed).toBe(true);
    // 54 uT turned by 0.04 rad, against the level part of the field.
    expect(watch.azimuthSigmaRad).toBeCloseTo(0.04 / Math.cos(1.14), 6);
  });

  it('a dip or a strength that the drift of a warmer or colder board explains is not disturbed', () => {
    const model = { ...plainAxisModel, fieldNt: 54_000, sigmaFieldNt: 150, dipRad: 1.1, sigmaDipRad: 0.004 };
    const sigmasAt = (fieldNt: number, dipRad: number, warmedC: number): number => {
      const watch = new DisturbanceWatch(model);
      for (let i = 0; i < 100; i += 1) watch.offer(reading(fieldNt, dipRad), 0.01, false, 1, warmedC);
      expect(watch.disturbed).toBe(watch.deviationSigmas > 4);
      return watch.deviationSigmas;
    };
    // 20 nT and 0.3 mg for each of 9 degrees, beside 0.2 percent and 0.1 degree between attitudes
    const dipSigma = Math.hypot(0.004, 0.1 * degree, (9 * 20) / 54_000, 9 * 3e-4);
    expect(sigmasAt(54_000, 1.12, -9)).toBeCloseTo(0.02 / dipSigma, 6);
    expect(sigmasAt(54_000, 1.12, 0)).toBeCloseTo(0.02 / Math.hypot(0.004, 0.1 * degree), 6);
    expect(sigmasAt(54_900, 1.1, 9)).toBeCloseTo(900 / Math.hypot(150, 108, 180), 6);
    expect(sigmasAt(54_900, 1.1, 0)).toBeCloseTo(900 / Math.hypot(150, 108), 6);
  });

  it('a field whose strength alone is off opens the azimuth by that strength', () => {
    const watch = new DisturbanceWatch({ ...plainAxisModel, fieldNt: 54_000, sigmaFieldNt: 150, dipRad: 1.1 });
    for (let i = 0; i < 100; i += 1) watch.offer(reading(55_200, 1.1), 0.01, false, 1, 0);
    expect(watch.deviationSigmas).toBeCloseTo(1200 / Math.hypot(150, attitude.strength * 54_000), 6);
    expect(watch.azimuthSigmaRad).toBeCloseTo(1200 / (55_200 * Math.cos(1.1)), 6);
  });

  it('locking: the azimuth shift is uncertain by the field, and by gravity times tan(dip) + tan(altitude)', () => {
    // Axis (board x) 30 degrees up, field of 50 uT with a dip of 60 degrees; 25 uT of it are level.
    const rest = (sigmaAccelG: number, sigmaFieldNt: number) => {
      const accelG: Vector3 = [Math.sin(30 * degree), 0, Math.cos(30 * degree)];
      const north: Vector3 = [Math.cos(30 * degree), 0, -Math.sin(30 * degree)];
      const fieldNt = north.map((part, i) => 25_000 * part - 50_000 * Math.sin(60 * degree) * accelG[i]);
      return { accelG, fieldNt: vector3(fieldNt), sigmaAccelG, sigmaFieldNt, samples: 100 };
    };
    const shift = lockShift(plainAxisModel, rest(3e-4, 30), rest(4e-4, 40), 'north');
    expect(shift.sigmaAltitudeShiftRad).toBeCloseTo(5e-4, 9);
    const byGravity = 5e-4 * (Math.sqrt(3) + 1 / Math.sqrt(3));
    expect(shift.sigmaAzimuthShiftRad).toBeCloseTo(Math.hypot(50 / 25_000, byGravity), 9);
  });

  it('the shadow of a pin: one direction of the Sun where one fits, refused where two do', () => {
    // The face leans by `tilt` toward where the shadow points from; a Sun 50 degrees high then stands 30 over a face tilted by 20.
    const face = (tiltDeg: number): Vector3 => [-Math.sin(tiltDeg * degree), 0, Math.cos(tiltDeg * degree)];
    const away = (tiltDeg: number): Vector3 => [Math.sin(tiltDeg * degree), 0, Math.cos(tiltDeg * degree)];
    const inBoard = sunInBoard({ accelG: face(20), shadowRad: 0 }, 50 * degree);
    expect(inBoard).toEqual([expect.closeTo(-Math.cos(30 * degree), 9), expect.closeTo(0, 9), expect.closeTo(0.5, 9)]);
    const low = sunInBoard({ accelG: away(20), shadowRad: 0 }, 50 * degree);
    expect(low).toEqual([
      expect.closeTo(-Math.cos(70 * degree), 9),
      expect.closeTo(0, 9),
      expect.closeTo(Math.sin(70 * degree), 9),
    ]);
    expect(() => sunInBoard({ accelG: face(40), shadowRad: 0 }, 60 * degree)).toThrow(/two directions/);
  });

  it('drift: the scatter is told in sigmas, the root of chi-squared over the degrees of freedom', () => {
    const site = { latitudeRad: 46 * degree, longitudeRad: 8 * degree, elevationM: 0 };
    const scattered = (arcsec: number) => {
      const readings = Array.from({ length: 12 }, (_, i) => ({
        star: requireStar('capella'),
        utc: new Date(Date.UTC(2026, 10, 29, 22, 0, 30 * i)),
        north: [1, -1, -1, 1][i % 4] * arcsec,
      }));
      return judgeDrift(readings, site, arcsecond, 1 * arcsecond, 0).gates.filter(({ unit }) => unit === 'sigmas');
    };
    // 12 readings and what was known of two errors before, less the three unknowns: 11 degrees of freedom. Each reading
    // 1.7 sigmas off makes chi-squared over them 3.15, its root 1.78.
    expect(scattered(1.7)).toEqual([]);
    const [gate] = scattered(2.5);
    expect(gate).toMatchObject({ verdict: 'caution', limit: 2 });
    expect(gate.value).toBeCloseTo(2.5 * Math.sqrt(12 / 11), 1);
  });

  it('turning: far is told once on every five degrees from where the board was told to be', () => {
    const turning = new Turning();
    const at = (degrees: number): LevelledReading =>
      reading(50_000, 1, [Math.sin(degrees * degree), 0, Math.cos(degrees * degree)]);
    const timesFar = (degrees: number): number => {
      let count = 0;
      for (let i = 0; i < 500; i += 1) {
        turning.offer(at(degrees), 0.01);
        if (turning.isFar) count += 1;
      }
      return count;
    };
    turning.restart(at(0));
    expect(timesFar(4)).toBe(0);
    expect(timesFar(6)).toBe(1);
    // told at 5 degrees: 9 are not far from there, 11 are
    expect(timesFar(9)).toBe(0);
    expect(timesFar(11)).toBe(1);
  });

  it('a board without tumble or without swing: iron by the field that it disturbs', () => {
    const site = { fieldNt: 50_000, horizontalNt: 20_000, dipRad: 66 * degree };
    expect(uncalibratedModel(site).sigmaDipRad).toBeCloseTo(15_000 / 50_000, 9);
    expect(uncalibratedModel(site).sigmaMagneticAzimuthRad).toBeCloseTo(Math.hypot(0.75, 5 * degree), 9);
    const { correction } = plainAxisModel;
    const known = {
      sigmaTiltRad: 0.002,
      sigmaHeadingRad: 0.01,
      fieldNt: 60_000,
      dipRad: 60 * degree,
      sigmaDipRad: 0.03,
    };
    const model = clipOnlyModel({ correction, ...known });
    expect(model.sigmaDipRad).toBeCloseTo(Math.hypot(0.03, 3000 / 60_000), 9);
    expect(model.sigmaAltitudeRad).toBeCloseTo(Math.hypot(0.002, 5 * degree), 9);
    expect(model.sigmaMagneticAzimuthRad).toBeCloseTo(Math.hypot(0.01, 5 * degree, 3000 / 30_000), 9);
  });
});
