// A kept calibration on a colder evening: chips drift with warmth, and what is stated must allow for it.
import { describe, expect, it } from 'vitest';
import { fitSwing } from '../../calibration/swing/fitSwing.ts';
import { fitTumble } from '../../calibration/tumble/fit.ts';
import { calibrationAt } from '../../calibration/warmth.ts';
import { scenes } from '../../firmware-proto/virtual/scenes.ts';
import { createWorld, type VirtualWorld } from '../../firmware-proto/virtual/world.ts';
import { swingSamples, tumbleSamples } from '../../firmware-proto/virtual/worldSamples.ts';
import { dwellsOf, reading, siteOf } from './swingSetUps.ts';

describe('a swing six degrees colder than its tumble, 16 boards', () => {
  const date = new Date('2026-06-01T00:00:00Z');
  const boardAt = (seed: number, temperatureC: number): VirtualWorld =>
    createWorld({ ...scenes.orchard, temperatureC }, { seed, date, tripodIronNt: 60 });
  const outcomes = Array.from({ length: 16 }, (_, i) => {
    const [warm, cold] = [boardAt(i + 1, 15), boardAt(i + 1, 9)];
    const site = siteOf(warm);
    const { calibration } = fitTumble(tumbleSamples(warm, { samples: 600 }).map(reading), { site });
    if (!calibration) throw new Error('no calibration');
    const dwells = dwellsOf(swingSamples(cold));
    return [calibration, calibrationAt(calibration, -6)].map((each) => {
      const { errors, errorCovariance } = fitSwing([dwells], each, { site });
      return (errors!.altitudeErrorRad - cold.truth().altitudeErrorRad) / Math.sqrt(errorCovariance![0]);
    });
  });
  const rms = (of: number): number =>
    Math.sqrt(outcomes.reduce((sum, pulls) => sum + pulls[of] ** 2, 0) / outcomes.length);

  it('states an altitude that holds, which the calibration as it was kept does not', () => {
    // 30 boards: 0.97 against 1.41. Sixteen leave a standard error of 0.18.
    expect(rms(1)).toBeLessThan(1.45);
    expect(rms(1)).toBeLessThan(rms(0));
  });
});
