import { describe, expect, it } from 'vitest';
import { arcminute, degree } from '../../calibration/angle.ts';
import { lockAhead } from '../../calibration/nudge/ahead.ts';
import { expectedDistanceRad } from '../../calibration/nudge/expected.ts';
import { fuseShifts, habitOf, type SeenShift } from '../../calibration/nudge/habit.ts';
import { createWorld } from '../../firmware-proto/virtual/world.ts';
import { scenes } from '../../firmware-proto/virtual/scenes.ts';

const shift = (altitude: number, azimuth: number, sigmaAltitude: number, sigmaAzimuth: number): SeenShift => ({
  altitudeShiftRad: altitude * arcminute,
  azimuthShiftRad: azimuth * arcminute,
  covariance: [(sigmaAltitude * arcminute) ** 2, 0, 0, (sigmaAzimuth * arcminute) ** 2],
});

describe('two readings of one shift', () => {
  it('weigh by their variances, each component for itself where nothing couples them', () => {
    const { altitudeShiftRad, azimuthShiftRad, covariance } = fuseShifts(shift(3, -8, 1, 1.5), shift(5, -2, 0.5, 3));
    // by hand: (3 / 1 + 5 / 0.25) / (1 + 4) and (-8 / 2.25 - 2 / 9) / (1 / 2.25 + 1 / 9)
    expect(altitudeShiftRad / arcminute).toBeCloseTo(4.6, 9);
    expect(azimuthShiftRad / arcminute).toBeCloseTo(-6.8, 9);
    expect(covariance[0] / arcminute ** 2).toBeCloseTo(0.2, 9);
    expect(covariance[3] / arcminute ** 2).toBeCloseTo(1.8, 9);
  });

  it('couple where one of them does', () => {
    const one = { ...shift(0, 0, 1, 1), covariance: [1, 0.6, 0.6, 2].map((v) => v * arcminute ** 2) as never };
    const fused = fuseShifts(one, shift(2, 0, 1, 1000));
    // by hand: gain of the altitude 1/2, of the azimuth 0.6/2
    expect(fused.altitudeShiftRad / arcminute).toBeCloseTo(1, 3);
    expect(fused.azimuthShiftRad / arcminute).toBeCloseTo(0.6, 3);
  });
});

describe('what locking does', () => {
  it('is expected to be nothing, give or take what is usual, before it was seen', () => {
    const { altitudeShiftRad, covariance, times } = habitOf([]);
    expect([altitudeShiftRad, times]).toEqual([0, 0]);
    expect(Math.sqrt(covariance[0]) / arcminute).toBeCloseTo(Math.hypot(5, 5 / 3), 9);
  });

  it('becomes the mean of what was seen, and its scatter', () => {
    const alike = habitOf([
      shift(4, -6, 0.3, 1),
      shift(4.2, -5, 0.3, 1),
      shift(3.9, -7, 0.3, 1),
      shift(4.1, -6, 0.3, 1),
    ]);
    expect(alike.altitudeShiftRad / arcminute).toBeCloseTo(4, 0);
    expect(alike.azimuthShiftRad / arcminute).toBeCloseTo(-6, 0);
    const wild = habitOf([shift(4, -6, 0.3, 1), shift(-3, 5, 0.3, 1), shift(9, -14, 0.3, 1), shift(2, 1, 0.3, 1)]);
    expect(wild.scatterRad.altitude).toBeGreaterThan(2 * alike.scatterRad.altitude);
    expect(wild.covariance[3]).toBeGreaterThan(4 * alike.covariance[3]);
  });

  it('of the virtual mount is alike each time but for a third', () => {
    const lockings = (seed: number): number[] => {
      const { mount } = createWorld('orchard', { seed });
      const before = mount.polarAxis.altitudeRad;
      return Array.from({ length: 60 }, () => {
        mount.altitude.locked = true;
        for (let t = 0; t < 4; t += 1) mount.advance(1);
        const shifted = (mount.polarAxis.altitudeRad - before) / scenes.orchard.lockingShiftRad;
        mount.altitude.locked = false;
        for (let t = 0; t < 4; t += 1) mount.advance(1);
        return shifted;
      });
    };
    const mounts = [1, 2, 3, 4, 5, 6, 7, 8].map(lockings);
    const means = mounts.map((all) => all.reduce((sum, one) => sum + one, 0) / all.length);
    const within = mounts.flatMap((all, i) => all.map((one) => one - means[i]));
    const rms = (values: number[]): number => Math.sqrt(values.reduce((sum, v) => sum + v * v, 0) / values.length);
    // 472 degrees of freedom hold a sigma to 3.3 percent, and 8 mounts theirs to 25
    expect(rms(within)).toBeGreaterThan(0.29);
    expect(rms(within)).toBeLessThan(0.38);
    expect(rms(means)).toBeGreaterThan(0.3);
    expect(rms(means)).toBeLessThan(1.8);
  });
});

describe('what lies ahead', () => {
  const latitudeRad = -33 * degree;
  const axis = (altitude: number, azimuth: number, sigma: number) => ({
    altitudeErrorRad: altitude * arcminute,
    azimuthErrorRad: azimuth * arcminute,
    axisCovariance: [(sigma * arcminute) ** 2, 0, 0, (1.2 * sigma * arcminute) ** 2] as const,
  });
  const read = [(0.4 * arcminute) ** 2, 0, 0, (0.9 * arcminute) ** 2] as const;
  const seen = habitOf([shift(5, -3, 0.4, 0.9), shift(4.4, -3.9, 0.4, 0.9)]);

  it('counts what is not known as well as what is', () => {
    const home = { altitudeErrorRad: 0, azimuthErrorRad: 0 };
    const far = { altitudeErrorRad: 3, azimuthErrorRad: 5 };
    expect(expectedDistanceRad(far, [0, 0, 0, 0], latitudeRad)).toBeCloseTo(
      Math.hypot(3, 5 * Math.cos(latitudeRad)),
      7,
    );
    expect(expectedDistanceRad(home, [0, 0, 0, 0], latitudeRad)).toBe(0);
    // means of the half-normal, Rayleigh and Rice distributions; S. O. Rice, Bell Syst. Tech. J. 24 (1945) 46, eq. 4.2-3, with
    // exp(-x/2) ((1 + x) I0(x/2) + x I1(x/2)) for a distance of one sigma, x = 1/2 (Bessel functions by scipy.special)
    expect(expectedDistanceRad(home, [4, 0, 0, 0], latitudeRad)).toBeCloseTo(2 * Math.sqrt(2 / Math.PI), 7);
    expect(expectedDistanceRad(home, [1, 0, 0, 1], 0)).toBeCloseTo(Math.sqrt(Math.PI / 2), 7);
    expect(expectedDistanceRad({ ...home, altitudeErrorRad: 1 }, [1, 0, 0, 1], 0)).toBeCloseTo(1.54857246, 7);
    // errors that go together, against the mean over a fine grid of both normals
    const steps = Array.from({ length: 161 }, (_, i) => -8 + i / 10);
    const mean = steps
      .flatMap((u) =>
        steps.map((v) => Math.exp(-(u * u + v * v) / 2) * Math.hypot(1 + 1.5 * u, -1.2 + 0.8 * u + 0.6 * v)),
      )
      .reduce((sum, one) => sum + one / (200 * Math.PI), 0);
    const level = Math.cos(latitudeRad);
    const oblique = { altitudeErrorRad: 1, azimuthErrorRad: -1.2 / level };
    expect(expectedDistanceRad(oblique, [2.25, 1.2 / level, 1.2 / level, 1 / level ** 2], latitudeRad)).toBeCloseTo(
      mean,
      4,
    );
  });

  it('is a correction where the axis stands far, and none where it stands near', () => {
    const far = lockAhead(axis(6, -5, 0.7), seen, read, latitudeRad);
    expect(far.isNearer).toBe(true);
    expect(far.standOff.altitudeErrorRad / arcminute).toBeLessThan(-3.5);
    expect(far.standOff.azimuthErrorRad / arcminute).toBeGreaterThan(2);
    const near = lockAhead(axis(1.2, -0.8, 0.7), seen, read, latitudeRad);
    expect(near.isNearer).toBe(false);
    expect(near.afterRad).toBeGreaterThan(near.nowRad);
  });

  it.each([
    ['a first locking, its scatter and its reading twice over', habitOf([]), 'first'],
    ['a known one, all that is not known of its next', seen, 'known'],
  ])('counts of %s', (_, habit, kind) => {
    const from = axis(6, -5, 0.7);
    const [a, z] = [from.axisCovariance[0], from.axisCovariance[3]];
    const { altitude, azimuth } = habit.scatterRad;
    const locking =
      kind === 'first' ? [altitude ** 2 + read[0], azimuth ** 2 + read[3]] : [habit.covariance[0], habit.covariance[3]];
    const after = [a + read[0] + locking[0], 0, 0, z + read[3] + locking[1]] as const;
    const home = { altitudeErrorRad: 0, azimuthErrorRad: 0 };
    const ahead = lockAhead(from, habit, read, latitudeRad);
    expect(ahead.afterRad).toBeCloseTo(expectedDistanceRad(home, after, latitudeRad), 12);
    expect(ahead.nowRad).toBeCloseTo(expectedDistanceRad(from, from.axisCovariance, latitudeRad), 12);
  });
});
