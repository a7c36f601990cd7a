import type { AxisFigures, Needles } from './session.ts';
import { inDeg } from '../words/figures.ts';

/** The axis as measured, not as shown: figures that are held for the eye are no series of measurements. */
const figuresJson = (figures: AxisFigures): Record<string, number> => ({
  altitudeErrorDeg: inDeg(figures.altitudeErrorRad),
  sigmaAltitudeErrorDeg: inDeg(figures.sigmaAltitudeErrorRad),
  azimuthErrorDeg: inDeg(figures.azimuthErrorRad),
  sigmaAzimuthErrorDeg: inDeg(figures.sigmaAzimuthErrorRad),
  distanceDeg: inDeg(figures.distanceRad),
  sigmaDistanceDeg: inDeg(figures.sigmaDistanceRad),
});

const noFigures = {
  altitudeErrorDeg: null,
  sigmaAltitudeErrorDeg: null,
  azimuthErrorDeg: null,
  sigmaAzimuthErrorDeg: null,
  distanceDeg: null,
  sigmaDistanceDeg: null,
};

/**
 * One line of the machine output: every `kind` "needles" object of every command looks like this.
 * @param link in words: why nothing comes, where the needles are stale
 */
export function needlesJson(needles: Needles, source: string, link: string, nowS: number): Record<string, unknown> {
  const { truth, state } = needles;
  const isStale = state === 'stale';
  return {
    kind: 'needles',
    timeUtc: new Date(needles.utcMs).toISOString(),
    ...(isStale ? noFigures : figuresJson(needles)),
    state,
    ...(isStale && { reason: link }),
    ...(needles.isOffClip && { offClip: true }),
    ageS: Number(Math.max(nowS - needles.arrivalS, 0).toFixed(3)),
    fieldDeviationSigmas: isStale ? null : Number(needles.fieldDeviationSigmas.toFixed(2)),
    temperatureC: isStale || needles.temperatureC === undefined ? null : Number(needles.temperatureC.toFixed(2)),
    source,
    ...(truth &&
      !isStale && {
        truth: {
          altitudeErrorDeg: inDeg(truth.altitudeErrorRad),
          azimuthErrorDeg: inDeg(truth.azimuthErrorRad),
          distanceDeg: inDeg(truth.distanceRad),
        },
      }),
  };
}
