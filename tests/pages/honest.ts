import { expect } from 'vitest';
import type { PolarErrors } from '../../calibration/polarAxis.ts';
import type { Needles } from '../../host/live/session.ts';

/**
 * How many of their sigmas needles may be off in a test whose noise no seed fixes, since people and hurried boards ask at moments
 * of their own: sound needles are further off once in 150 000 looks. Whether the sigmas hold is counted in tests/statistics.
 */
export const farOffSigmas = 4.5;

type Errors = Pick<PolarErrors, 'altitudeErrorRad' | 'azimuthErrorRad'>;

/** By how many of their sigmas the needles miss the truth. */
export function missesOf(needles: Needles | undefined, truth: Errors): { altitude: number; azimuth: number } {
  if (!needles) throw new Error('There are no needles.');
  return {
    altitude: Math.abs(needles.altitudeErrorRad - truth.altitudeErrorRad) / needles.sigmaAltitudeErrorRad,
    azimuth: Math.abs(needles.azimuthErrorRad - truth.azimuthErrorRad) / needles.sigmaAzimuthErrorRad,
  };
}

export function expectHonest(needles: Needles | undefined, truth: Errors): void {
  const { altitude, azimuth } = missesOf(needles, truth);
  expect(altitude, 'sigmas in altitude').toBeLessThan(farOffSigmas);
  expect(azimuth, 'sigmas in azimuth').toBeLessThan(farOffSigmas);
}
