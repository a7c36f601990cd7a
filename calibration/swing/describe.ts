import { wrapTwoPi } from '../angle.ts';
import type { Gate } from '../gate.ts';
import { correct } from '../correction.ts';
import { fromNed, polarErrors, toNed, type Horizontal, type PolarErrors } from '../polarAxis.ts';
import { tumbleUnknowns } from '../tumble/types.ts';
import { add, angleBetweenRad, cross, norm, scale, type Vector3 } from '../vector.ts';
import { quadraticForm, type AdjustedSwing } from './adjustSwing.ts';
import { axisSeen } from './axisSeen.ts';
import { circleSeen } from './circle.ts';
import { liveVariance } from './liveVariance.ts';
import { axisOf } from './frame.ts';
import { swingUnknowns, tiltIndex } from './unknowns.ts';
import type { Dwell, SwingOptions, SwingResult, SwingSite } from './types.ts';

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
  const { held, clippings, calibration, model, adjustment, covariance } = swing;
  const { estimate } = adjustment;
  const n = model.unknowns;
  const last = clippings - 1;
  const frame = model.frameAt(estimate, last);
  const lastSense = held[held.length - 1].sense;
  const axisInBoard = scale(axisOf(frame), lastSense);
  const correction = model.correctionAt(estimate, last);
  const rollRad = held.map((_, index) => estimate[model.rollIndex(index)]);
  const ofLast = held.flatMap(({ clipping, sense }, index) =>
    clipping === last && sense === lastSense ? [index] : [],
  );

  const seen = held.map(({ dwell, clipping, sense }) =>
    axisSeen(model.correctionAt(estimate, clipping), scale(axisOf(model.frameAt(estimate, clipping)), sense), dwell),
  );
  const live = ofLast.map((index) => liveVariance(swing, index));
  const rms = (values: readonly number[]): number => Math.sqrt(values.reduce((sum, v) => sum + v, 0) / values.length);
  const axis: Horizontal = {
    altitudeRad: estimate[swingUnknowns.altitude],
    azimuthRad: wrapTwoPi(estimate[swingUnknowns.azimuth]),
  };
  const tilt = tiltIndex(last);
  const dipRow = new Float64Array(n);
  model.addCalibrationRow(dipRow, tumbleUnknowns.dip, 1);
  const strength = swingUnknowns.strength;
  const { altitude, azimuth } = swingUnknowns;
  const axisCovariance = [
    covariance[altitude * n + altitude] + swing.sigmaCreepRad ** 2,
    covariance[altitude * n + azimuth],
    covariance[azimuth * n + altitude],
    covariance[azimuth * n + azimuth] + swing.sigmaPlaceAzimuthRad ** 2,
  ];
  const { hardNt: turnAlongIronNt } = model.ironAt(estimate, last);
  const arcRad = Math.min(...clippingsOf(swing).map((indices) => arcOf(indices.map((index) => rollRad[index]))));
  const result = {
    axisInBoard,
    sigmaAxisInBoardRad: Math.sqrt((covariance[tilt * n + tilt] + covariance[(tilt + 1) * n + tilt + 1]) / 2),
    axisAltitudeRad: axis.altitudeRad,
    axisMagneticAzimuthRad: axis.azimuthRad,
    covariance: axisCovariance,
    sigmaPlaceAzimuthRad: swing.sigmaPlaceAzimuthRad,
    ...spreadOf(seen),
    arcRad,
    rollRad,
    turnAlongIronNt,
    gravityCircle: circleSeen(
      ofLast.map((index) => correct(correction.accelerometer, held[index].dwell.accelG)),
      [0, 0, 0],
      frame,
      Math.cos(axis.altitudeRad),
    ),
    fieldCircle: circleSeen(
      ofLast.map((index) => add(correct(correction.magnetometer, held[index].dwell.fieldNt), turnAlongIronNt)),
      turnAlongIronNt,
      frame,
      rms(
        ofLast.map((index) => acrossSquared(correct(correction.magnetometer, held[index].dwell.fieldNt), axisInBoard)),
      ),
    ),
    misfit: swing.misfit,
    axisModel: {
      correction,
      axisInBoard,
      sigmaAltitudeRad: Math.hypot(rms(live.map((variance) => variance.altitude)), swing.sigmaCreepRad),
      sigmaMagneticAzimuthRad: Math.hypot(rms(live.map((variance) => variance.azimuth)), swing.sigmaPlaceAzimuthRad),
      fieldNt: estimate[strength] * calibration.fieldNt,
      sigmaFieldNt: Math.sqrt(covariance[strength * n + strength]) * calibration.fieldNt,
      dipRad: model.calibrationAt(estimate)[tumbleUnknowns.dip],
      sigmaDipRad: Math.sqrt(quadraticForm(dipRow, covariance)),
      ...meanTemperature(ofLast.map((index) => held[index].dwell)),
    },
    ...errorsAt(site, axis, axisCovariance),
  };
  const sigma = {
    axisRad: Math.SQRT2 * result.sigmaAxisInBoardRad,
    azimuthRad: Math.sqrt(axisCovariance[3]),
  };
  const gates = gatesOf(arcRad, rollRad, sigma, result.errors);
  return { accepted: !gates.some(({ verdict }) => verdict === 'stop'), gates, ...result };
}

function meanTemperature(dwells: readonly Dwell[]): { temperatureC?: number } {
  const known = dwells.flatMap(({ temperatureC }) => temperatureC ?? []);
  return known.length > 0 ? { temperatureC: known.reduce((sum, value) => sum + value, 0) / known.length } : {};
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

const acrossSquared = (v: Vector3, axis: Vector3): number => norm(cross(v, axis)) ** 2;

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
