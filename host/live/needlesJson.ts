import { degree } from '../../calibration/angle.ts';
import { isBoardOff } from '../words/offClip.ts';
import type { Needles } from './session.ts';

/** Six decimals of a degree are 0.004 arcsecond: enough, and readable. */
const deg = (angleRad: number): number => Number((angleRad / degree).toFixed(6));

/** One line of the machine output: every `kind` "needles" object of every command looks like this. */
export function needlesJson(needles: Needles, source: string, nowS: number): Record<string, unknown> {
  const { truth } = needles;
  return {
    kind: 'needles',
    timeUtc: new Date(needles.utcMs).toISOString(),
    altitudeErrorDeg: deg(needles.altitudeErrorRad),
    sigmaAltitudeErrorDeg: deg(needles.sigmaAltitudeErrorRad),
    azimuthErrorDeg: deg(needles.azimuthErrorRad),
    sigmaAzimuthErrorDeg: deg(needles.sigmaAzimuthErrorRad),
    distanceDeg: deg(needles.distanceRad),
    sigmaDistanceDeg: deg(needles.sigmaDistanceRad),
    state: needles.state,
    ...(isBoardOff(needles) && { offClip: true }),
    ageS: Number(Math.max(nowS - needles.arrivalS, 0).toFixed(3)),
    fieldDeviationSigmas: Number(needles.fieldDeviationSigmas.toFixed(2)),
    temperatureC: Number(needles.temperatureC.toFixed(2)),
    source,
    ...(truth && {
      truth: {
        altitudeErrorDeg: deg(truth.altitudeErrorRad),
        azimuthErrorDeg: deg(truth.azimuthErrorRad),
        distanceDeg: deg(truth.distanceRad),
      },
    }),
  };
}
