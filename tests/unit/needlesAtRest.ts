import type { AxisFigures, Needles } from '../../host/live/session.ts';

/** Needles as a test states them, shown as they are. */
export const shownAsTheyAre = (
  needles: Omit<Needles, 'shown' | 'isOffClip' | 'isAnchored'> & Partial<Needles>,
): Needles => {
  const { altitudeErrorRad, azimuthErrorRad, distanceRad } = needles;
  const { sigmaAltitudeErrorRad, sigmaAzimuthErrorRad, sigmaDistanceRad } = needles;
  const shown: AxisFigures = {
    altitudeErrorRad,
    azimuthErrorRad,
    distanceRad,
    sigmaAltitudeErrorRad,
    sigmaAzimuthErrorRad,
    sigmaDistanceRad,
  };
  return { shown, isOffClip: false, isAnchored: false, ...needles };
};

/** Needles at rest, as a test needs them: exact in all but the altitude that it gives. */
export const needlesAtRest = (altitudeErrorRad: number, other: Partial<Needles> = {}): Needles =>
  shownAsTheyAre({
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
