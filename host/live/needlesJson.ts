import { isBoardOff } from '../words/offClip.ts';
import type { Needles } from './session.ts';
import { inDeg } from '../words/figures.ts';

/** One line of the machine output: every `kind` "needles" object of every command looks like this. */
export function needlesJson(needles: Needles, source: string, nowS: number): Record<string, unknown> {
  const { truth } = needles;
  return {
    kind: 'needles',
    timeUtc: new Date(needles.utcMs).toISOString(),
    altitudeErrorDeg: inDeg(needles.altitudeErrorRad),
    sigmaAltitudeErrorDeg: inDeg(needles.sigmaAltitudeErrorRad),
    azimuthErrorDeg: inDeg(needles.azimuthErrorRad),
    sigmaAzimuthErrorDeg: inDeg(needles.sigmaAzimuthErrorRad),
    distanceDeg: inDeg(needles.distanceRad),
    sigmaDistanceDeg: inDeg(needles.sigmaDistanceRad),
    state: needles.state,
    ...(isBoardOff(needles) && { offClip: true }),
    ageS: Number(Math.max(nowS - needles.arrivalS, 0).toFixed(3)),
    fieldDeviationSigmas: Number(needles.fieldDeviationSigmas.toFixed(2)),
    temperatureC: Number(needles.temperatureC.toFixed(2)),
    source,
    ...(truth && {
      truth: {
        altitudeErrorDeg: inDeg(truth.altitudeErrorRad),
        azimuthErrorDeg: inDeg(truth.azimuthErrorRad),
        distanceDeg: inDeg(truth.distanceRad),
      },
    }),
  };
}
