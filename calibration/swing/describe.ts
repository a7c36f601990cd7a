import { wrapTwoPi } from '../angle.ts';
import type { Gate } from '../gate.ts';
import { fromNed, polarErrors, toNed, type Horizontal, type PolarErrors } from '../polarAxis.ts';
import { add, angleBetweenRad, scale, type Vector3 } from '../vector.ts';
import type { AdjustedSwing } from './adjustSwing.ts';
import { axisSeen } from './axisSeen.ts';
import { axisModelOf, circlesOf } from './describeClipping.ts';
import { axisOf } from './frame.ts';
import { swingUnknowns, tiltIndex } from './unknowns.ts';
import type { SwingOptions, SwingResult, SwingSite } from './types.ts';

/** What a finished adjustment means, in the terms of the mount. */
export function describeSwing(
  swing: AdjustedSwing,
  { site }: SwingOptions,
  gatesOf: (
    arcRad: number,
    rollRad: readonly number[],
    sigma: { axisRad: number; azimuthRad: number },
    errors?: PolarErrors,
  ) => Gate[],
): SwingResult {
  const { held, clippings, model, adjustment, covariance } = swing;
  const { estimate } = adjustment;
  const n = model.unknowns;
  const last = clippings - 1;
  const tilt = tiltIndex(last);
  const rollRad = held.map((_, index) => estimate[model.rollIndex(index)]);
  const axis: Horizontal = {
    altitudeRad: estimate[swingUnknowns.altitude],
    azimuthRad: wrapTwoPi(estimate[swingUnknowns.azimuth]),
  };
  const axisCovariance = axisCovarianceOf(swing);
  const seen = held.map(({ dwell, clipping, sense }) =>
    axisSeen(model.correctionAt(estimate, clipping), scale(axisOf(model.frameAt(estimate, clipping)), sense), dwell),
  );
  const arcRad = Math.min(...clippingsOf(swing).map((indices) => arcOf(indices.map((index) => rollRad[index]))));
  const axisModel = axisModelOf(swing);
  const result = {
    axisInBoard: axisModel.axisInBoard,
    sigmaAxisInBoardRad: Math.sqrt((covariance[tilt * n + tilt] + covariance[(tilt + 1) * n + tilt + 1]) / 2),
    axisAltitudeRad: axis.altitudeRad,
    axisMagneticAzimuthRad: axis.azimuthRad,
    covariance: axisCovariance,
    sigmaPlaceAzimuthRad: swing.sigmaPlaceAzimuthRad,
    ...spreadOf(seen),
    arcRad,
    rollRad,
    ...circlesOf(swing, axisModel, axis.altitudeRad),
    misfit: swing.misfit,
    axisModel,
    ...errorsAt(site, axis, axisCovariance),
  };
  const sigma = {
    axisRad: Math.SQRT2 * result.sigmaAxisInBoardRad,
    azimuthRad: Math.sqrt(axisCovariance[3]),
  };
  const gates = gatesOf(arcRad, rollRad, sigma, result.errors);
  return { accepted: !gates.some(({ verdict }) => verdict === 'stop'), gates, ...result };
}

/** Row-major 2 x 2 of altitude and azimuth, creep and iron of the place counted in. */
function axisCovarianceOf({ model, covariance, sigmaCreepRad, sigmaPlaceAzimuthRad }: AdjustedSwing): number[] {
  const n = model.unknowns;
  const { altitude, azimuth } = swingUnknowns;
  return [
    covariance[altitude * n + altitude] + sigmaCreepRad ** 2,
    covariance[altitude * n + azimuth],
    covariance[azimuth * n + altitude],
    covariance[azimuth * n + azimuth] + sigmaPlaceAzimuthRad ** 2,
  ];
}

/** Indices of the dwells of each clipping. */
const clippingsOf = ({ held, clippings }: AdjustedSwing): number[][] =>
  Array.from({ length: clippings }, (_, clipping) =>
    held.flatMap((dwell, index) => (dwell.clipping === clipping ? [index] : [])),
  );

/** The arc that holds all rolls: a full turn less the largest gap. */
export function arcOf(rollRad: readonly number[]): number {
  const sorted = rollRad.map(wrapTwoPi).sort((a, b) => a - b);
  const gaps = sorted.map((roll, i) =>
    i === 0 ? roll + 2 * Math.PI - sorted[sorted.length - 1] : roll - sorted[i - 1],
  );
  return 2 * Math.PI - Math.max(...gaps);
}

/** Rms of single directions about their mean: the angle, and its two parts. */
function spreadOf(
  seen: readonly Horizontal[],
): Pick<SwingResult, 'spreadRad' | 'spreadAzimuthRad' | 'spreadAltitudeRad'> {
  const mean = fromNed(seen.map(toNed).reduce((sum, v) => add(sum, v), [0, 0, 0] as Vector3));
  const rms = (of: (direction: Horizontal) => number): number =>
    Math.sqrt(seen.reduce((sum, direction) => sum + of(direction) ** 2, 0) / seen.length);
  const east = mean.azimuthRad;
  return {
    spreadRad: rms((direction) => angleBetweenRad(toNed(direction), toNed(mean))),
    spreadAzimuthRad: rms((direction) => Math.asin(Math.sin(direction.azimuthRad - east)) * Math.cos(mean.altitudeRad)),
    spreadAltitudeRad: rms((direction) => direction.altitudeRad - mean.altitudeRad),
  };
}

function errorsAt(
  site: SwingSite | undefined,
  axis: Horizontal,
  [aa, az, , zz]: readonly number[],
): Pick<SwingResult, 'errors' | 'errorCovariance' | 'sigmaDistanceRad'> {
  if (!site) return {};
  const trueAxis = { ...axis, azimuthRad: wrapTwoPi(axis.azimuthRad + site.variationRad) };
  const errors = polarErrors(trueAxis, site.pole);
  const eastward = Math.cos(site.pole.azimuthRad) >= 0 ? 1 : -1;
  const azimuthVariance = zz + site.sigmaVariationRad ** 2;
  const errorCovariance = [aa, az * eastward, az * eastward, azimuthVariance];
  const across = errors.azimuthErrorRad * Math.cos(site.pole.altitudeRad);
  const length = Math.hypot(errors.altitudeErrorRad, across);
  const [u, v] = length > 0 ? [errors.altitudeErrorRad / length, across / length] : [Math.SQRT1_2, Math.SQRT1_2];
  const w = v * Math.cos(site.pole.altitudeRad);
  const sigmaDistanceRad = Math.sqrt(u * u * aa + 2 * u * w * az * eastward + w * w * azimuthVariance);
  return { errors, errorCovariance, sigmaDistanceRad };
}
