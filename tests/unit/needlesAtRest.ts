import type { Needles } from '../../host/live/session.ts';

/** Needles at rest, as a test needs them: exact in all but the altitude that it gives. */
export const needlesAtRest = (altitudeErrorRad: number, other: Partial<Needles> = {}): Needles => ({
  utcMs: 0,
  arrivalS: 0,
  altitudeErrorRad,
  azimuthErrorRad: 0,
  distanceRad: 0,
  sigmaAltitudeErrorRad: 0.001,
  sigmaAzimuthErrorRad: 0.007,
  sigmaDistanceRad: 0.006,
  state: 'still',
  fieldDeviationSigmas: 0,
  temperatureC: 10,
  ...other,
});
