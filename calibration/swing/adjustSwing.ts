import { CholeskyDecomposition, Matrix } from 'ml-matrix';
import { adjust, type Adjustment } from '../adjust.ts';
import { tumbleUnknowns, type TumbleCalibration } from '../tumble/types.ts';
import { scale, type Vector3 } from '../vector.ts';
import { SwingModel, type HeldDwell } from './model.ts';
import { covarianceUnderWander } from './wander.ts';
import { ironIndex, softIronIndex, swingUnknowns } from './unknowns.ts';
import type { PlaceChange } from './types.ts';

const { accelBias, dip, count } = tumbleUnknowns;

/** Where an adjustment begins; turning iron for each clipping, corrected nT. */
export interface SwingBegin {
  altitudeRad: number;
  azimuthRad: number;
  rollRad: readonly number[];
  ironNt: readonly Vector3[];
}

/** A finished adjustment with all that describes it. */
export interface AdjustedSwing {
  held: readonly HeldDwell[];
  clippings: number;
  calibration: TumbleCalibration;
  model: SwingModel;
  adjustment: Adjustment;
  /** Covariance of `adjustment`, grown where the dwells scatter more than their own sigmas say. */
  covariance: Float64Array;
  /** Chi-squared per degree of freedom. */
  misfit: number;
  /** Standard deviation of the azimuth of the magnetic north of the place: iron that does not turn along. */
  sigmaPlaceAzimuthRad: number;
  /** Standard deviation of the altitude by what the accelerometer's bias wanders during the swing. */
  sigmaCreepRad: number;
  /** How far strength and dip at the mount pull away from what was expected, in sigmas. */
  strengthPull: number;
  dipPull: number;
}

/** Adjusts from each of `begins` and keeps the best. `axes`: start of the axis in the board for each clipping. */
export function adjustSwing(
  held: readonly HeldDwell[],
  calibration: TumbleCalibration,
  axes: readonly Vector3[],
  begins: readonly SwingBegin[],
  change: PlaceChange,
  axisSigmaRad = Infinity,
): AdjustedSwing {
  const placeShare = change.placeFieldNt / calibration.fieldNt;
  const prior = covarianceAtTheMount(calibration, change, placeShare);
  const model = new SwingModel(held, calibration, axes, choleskyFactor(prior), change.turnAlongIronNt);
  const mean = new Float64Array(model.unknowns);
  const sigma = new Float64Array(model.unknowns).fill(Infinity);
  mean[swingUnknowns.strength] = 1;
  sigma[swingUnknowns.strength] = placeShare;
  sigma.fill(1, swingUnknowns.calibration, swingUnknowns.calibration + count);
  axes.forEach((_, clipping) => {
    const iron = ironIndex(clipping);
    sigma.fill(axisSigmaRad, iron - 2, iron);
    sigma.fill(1, iron, iron + 3);
    const soft = softIronIndex(clipping);
    sigma.fill(change.turnAlongMatrix, soft, soft + 6);
  });

  const attempts = begins.map(({ altitudeRad, azimuthRad, rollRad, ironNt }) => {
    const start = new Float64Array(model.unknowns + held.length);
    start.set(mean);
    start[swingUnknowns.altitude] = altitudeRad;
    start[swingUnknowns.azimuth] = azimuthRad;
    start.set(rollRad, model.rollIndex(0));
    ironNt.forEach((iron, clipping) => start.set(scale(iron, 1 / change.turnAlongIronNt), ironIndex(clipping)));
    const adjustment = adjust(model, start, { prior: { mean, sigma }, robust: { threshold: 4.5, groupSize: 6 } });
    let cost = adjustment.chiSquared;
    for (let j = 0; j < mean.length; j += 1) cost += ((adjustment.estimate[j] - mean[j]) / sigma[j]) ** 2;
    return { adjustment, cost };
  });
  const { adjustment } = attempts.reduce((best, next) => (next.cost < best.cost ? next : best));

  const misfit = adjustment.chiSquared / Math.max(adjustment.degreesOfFreedom, 1);
  const growth = Math.max(misfit, 1);
  const n = model.unknowns;
  const { strength } = swingUnknowns;
  const dipRow = new Float64Array(n);
  model.addCalibrationRow(dipRow, dip, 1);
  const dipRad = model.calibrationAt(adjustment.estimate)[dip];
  return {
    held,
    clippings: axes.length,
    calibration,
    model,
    adjustment,
    covariance: covarianceUnderWander(held, adjustment).map((value) => value * growth),
    misfit,
    sigmaCreepRad: change.creepG,
    sigmaPlaceAzimuthRad: placeShare / Math.cos(dipRad),
    strengthPull: pull(
      adjustment.estimate[strength] - 1,
      placeShare ** 2,
      adjustment.covariance[strength * n + strength],
    ),
    dipPull: pull(dipRad - calibration.dipRad, prior[dip * count + dip], quadraticForm(dipRow, adjustment.covariance)),
  };
}

/** row * covariance * row. */
export function quadraticForm(row: Float64Array, covariance: Float64Array, other = row): number {
  const n = row.length;
  let sum = 0;
  for (let i = 0; i < n; i += 1) {
    if (row[i] === 0) continue;
    let product = 0;
    for (let j = 0; j < n; j += 1) product += covariance[i * n + j] * other[j];
    sum += row[i] * product;
  }
  return sum;
}

/** How far an estimate moved off its prior, over the sigma of that move; 0 where the data say nothing about it. */
function pull(moved: number, priorVariance: number, variance: number): number {
  const gained = priorVariance - variance;
  return gained > 0.1 * priorVariance ? moved / Math.sqrt(gained) : 0;
}

function covarianceAtTheMount(
  { covariance }: TumbleCalibration,
  change: PlaceChange,
  placeShare: number,
): Float64Array {
  const prior = Float64Array.from(covariance);
  const grow = (index: number, sigma: number): void => {
    prior[index * count + index] += sigma ** 2;
  };
  for (let i = 0; i < 3; i += 1) grow(accelBias + i, change.accelBiasG);
  grow(dip, placeShare);
  return prior;
}

/** Lower Cholesky factor, row-major; scaled to a unit diagonal first, for the unknowns have different units, and made symmetric to the last bit. */
function choleskyFactor(covariance: Float64Array): Float64Array {
  const sigma = Float64Array.from({ length: count }, (_, i) => Math.sqrt(covariance[i * count + i]));
  const correlation = Matrix.zeros(count, count);
  for (let i = 0; i < count; i += 1)
    for (let j = 0; j < count; j += 1)
      correlation.set(i, j, (covariance[i * count + j] + covariance[j * count + i]) / (2 * sigma[i] * sigma[j]));
  const cholesky = new CholeskyDecomposition(correlation);
  if (!cholesky.isPositiveDefinite()) {
    throw new RangeError('swing: the covariance of the calibration is not positive definite');
  }
  const lower = cholesky.lowerTriangularMatrix;
  return Float64Array.from({ length: count * count }, (_, at) => {
    const i = Math.floor(at / count);
    return lower.get(i, at % count) * sigma[i];
  });
}
