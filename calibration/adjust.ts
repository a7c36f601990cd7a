import { CholeskyDecomposition, EigenvalueDecomposition, Matrix } from 'ml-matrix';

/** A measurement model: whitened residuals of all measurements and their derivatives by the unknowns. */
export interface MeasurementModel {
  unknowns: number;
  residuals: number;
  /**
   * Fills `residual[i]` = (measured - predicted) / sigma, and `jacobian[i * unknowns + j]` = d residual[i] / d unknown[j].
   * The buffers come back as they were left: elements that are always zero need not be written again.
   */
  evaluate(unknown: Float64Array, residual: Float64Array, jacobian: Float64Array): void;
}

/** Normal priors on the unknowns: independent ones by their sigma (infinite: none), or correlated ones by their information. */
export interface Prior {
  mean: ArrayLike<number>;
  sigma?: ArrayLike<number>;
  /** Row-major inverse covariance, unknowns x unknowns; added to that of `sigma`. */
  information?: ArrayLike<number>;
}

export interface AdjustOptions {
  prior?: Prior;
  /** Huber's loss: groups of `groupSize` neighbouring residuals whose length exceeds `threshold` are weighted down. */
  robust?: { threshold: number; groupSize: number };
  maximumIterations?: number;
  /** Relative step, in units of each unknown's own sigma, below which the fit has converged. */
  tolerance?: number;
}

export interface Adjustment {
  estimate: Float64Array;
  /** Row-major, unknowns x unknowns: inverse of the weighted normal matrix, prior included. */
  covariance: Float64Array;
  /** Whitened residuals at the estimate. */
  residual: Float64Array;
  /** Residuals over their own standard deviation after the fit (Baarda 1968): about N(0, 1) each when the model holds. */
  normalisedResidual: Float64Array;
  /** Huber weight of each group, 0..1; all 1 without a robust loss. */
  weight: Float64Array;
  /** Sum of weighted squared residuals, prior excluded. */
  chiSquared: number;
  /**
   * Expectation of `chiSquared`: the weighted number of residuals less the part that the unknowns take up, trace(J C J^T). A
   * prior leaves the unknowns less to take up, so this is not the plain difference of the counts.
   */
  degreesOfFreedom: number;
  /** Condition number of the normal matrix after scaling its diagonal to one. */
  condition: number;
  iterations: number;
  converged: boolean;
}

interface Evaluation {
  unknown: Float64Array;
  residual: Float64Array;
  jacobian: Float64Array;
}

/**
 * Weighted non-linear least squares with priors: Levenberg-Marquardt steps (Marquardt 1963) with iteratively reweighted
 * Huber loss (Huber 1964), covariance from the inverse normal matrix.
 * Throws RangeError when a residual is not finite at the start or the normal matrix is singular.
 */
export function adjust(model: MeasurementModel, start: ArrayLike<number>, options: AdjustOptions = {}): Adjustment {
  const { unknowns: n, residuals: m } = model;
  const { prior, robust, maximumIterations = 60, tolerance = 1e-5 } = options;
  const groupSize = robust?.groupSize ?? 1;
  const threshold = robust?.threshold ?? Infinity;
  const weight = new Float64Array(Math.ceil(m / groupSize)).fill(1);
  const information = priorInformation(n, prior);
  const blank = (): Evaluation => ({
    unknown: Float64Array.from(start),
    residual: new Float64Array(m),
    jacobian: new Float64Array(m * n),
  });
  const evaluate = (point: Evaluation): number => {
    model.evaluate(point.unknown, point.residual, point.jacobian);
    return lossOf(point.residual, weight.length, groupSize, threshold) + priorLoss(point.unknown, information, prior);
  };

  let here = blank();
  let there = blank();
  let current = evaluate(here);
  if (!Number.isFinite(current)) throw new RangeError('adjust: a residual is not finite at the start');

  const normal = new Float64Array(n * n);
  const gradient = new Float64Array(n);
  const gather = (): void => {
    if (robust) reweight(here.residual, weight, groupSize, threshold);
    accumulate(here, weight, groupSize, normal, gradient);
    addPrior(here.unknown, information, prior, normal, gradient);
  };

  let damping = 1e-3;
  let iterations = 0;
  let converged = false;
  while (!converged && iterations < maximumIterations) {
    iterations += 1;
    gather();
    let accepted = false;
    for (let attempt = 0; attempt < 12 && !accepted; attempt += 1) {
      const step = solveDamped(normal, gradient, damping);
      if (step) {
        for (let j = 0; j < n; j += 1) there.unknown[j] = here.unknown[j] + step[j];
        const next = evaluate(there);
        if (next <= current * (1 + 1e-12)) {
          let largest = 0;
          for (let j = 0; j < n; j += 1) largest = Math.max(largest, Math.abs(step[j]) * Math.sqrt(normal[j * n + j]));
          converged = largest < tolerance || (damping < 1 && current - next <= 1e-12 * current);
          [here, there] = [there, here];
          current = next;
          damping = Math.max(damping / 10, 1e-12);
          accepted = true;
          continue;
        }
      }
      damping *= 10;
    }
    if (!accepted) {
      converged = damping > 1e6;
      break;
    }
  }

  gather();
  const { covariance, condition } = invertNormal(normal, n);
  const leverage = leverages(here.jacobian, covariance, m, n);
  let chiSquared = 0;
  let degreesOfFreedom = 0;
  for (let i = 0; i < m; i += 1) {
    const w = weight[Math.floor(i / groupSize)];
    chiSquared += w * here.residual[i] ** 2;
    degreesOfFreedom += w * (1 - w * leverage[i]);
  }
  return {
    estimate: here.unknown,
    covariance,
    residual: here.residual,
    normalisedResidual: here.residual.map((r, i) => (leverage[i] < 1 - 1e-9 ? r / Math.sqrt(1 - leverage[i]) : 0)),
    weight,
    chiSquared,
    degreesOfFreedom: Math.max(degreesOfFreedom, 0),
    condition,
    iterations,
    converged,
  };
}

/** Standard deviation of unknown `index`. */
export const sigmaOf = (adjustment: Adjustment, index: number): number =>
  Math.sqrt(adjustment.covariance[index * adjustment.estimate.length + index]);

/** Inverse of a row-major covariance, for use as a prior's `information`. Throws RangeError when it is singular. */
export const informationOf = (covariance: ArrayLike<number>): Float64Array =>
  invertNormal(Float64Array.from(covariance), Math.round(Math.sqrt(covariance.length))).covariance;

function priorInformation(n: number, prior: Prior | undefined): Float64Array {
  const information = new Float64Array(n * n);
  if (prior?.information) information.set(prior.information);
  if (prior?.sigma) for (let j = 0; j < n; j += 1) information[j * n + j] += 1 / prior.sigma[j] ** 2;
  return information;
}

function priorLoss(unknown: Float64Array, information: Float64Array, prior: Prior | undefined): number {
  if (!prior) return 0;
  const n = unknown.length;
  let sum = 0;
  for (let j = 0; j < n; j += 1) {
    const off = unknown[j] - prior.mean[j];
    for (let k = 0; k < n; k += 1) {
      const element = information[j * n + k];
      if (element !== 0) sum += off * element * (unknown[k] - prior.mean[k]);
    }
  }
  return sum;
}

function addPrior(
  unknown: Float64Array,
  information: Float64Array,
  prior: Prior | undefined,
  normal: Float64Array,
  gradient: Float64Array,
): void {
  if (!prior) return;
  const n = unknown.length;
  for (let j = 0; j < n; j += 1) {
    for (let k = 0; k < n; k += 1) {
      const element = information[j * n + k];
      if (element === 0) continue;
      normal[j * n + k] += element;
      gradient[j] -= element * (unknown[k] - prior.mean[k]);
    }
  }
}

function groupSquared(residual: Float64Array, group: number, groupSize: number): number {
  let sum = 0;
  const end = Math.min((group + 1) * groupSize, residual.length);
  for (let i = group * groupSize; i < end; i += 1) sum += residual[i] ** 2;
  return sum;
}

function lossOf(residual: Float64Array, groups: number, groupSize: number, threshold: number): number {
  let sum = 0;
  for (let group = 0; group < groups; group += 1) {
    const squared = groupSquared(residual, group, groupSize);
    const length = Math.sqrt(squared);
    sum += length <= threshold ? squared : 2 * threshold * length - threshold ** 2;
  }
  return sum;
}

function reweight(residual: Float64Array, weight: Float64Array, groupSize: number, threshold: number): void {
  for (let group = 0; group < weight.length; group += 1) {
    const length = Math.sqrt(groupSquared(residual, group, groupSize));
    weight[group] = length <= threshold ? 1 : threshold / length;
  }
}

/** Normal matrix and gradient of the data alone; columns that are zero in a row cost nothing. */
function accumulate(
  { residual, jacobian }: Evaluation,
  weight: Float64Array,
  groupSize: number,
  normal: Float64Array,
  gradient: Float64Array,
): void {
  const n = gradient.length;
  normal.fill(0);
  gradient.fill(0);
  const columns = new Int32Array(n);
  const values = new Float64Array(n);
  for (let i = 0; i < residual.length; i += 1) {
    const w = weight[Math.floor(i / groupSize)];
    const row = i * n;
    let used = 0;
    for (let j = 0; j < n; j += 1) {
      const value = jacobian[row + j];
      if (value === 0) continue;
      columns[used] = j;
      values[used] = value;
      used += 1;
    }
    const r = residual[i];
    for (let p = 0; p < used; p += 1) {
      const weighted = w * values[p];
      gradient[columns[p]] -= weighted * r;
      const base = columns[p] * n;
      for (let q = 0; q <= p; q += 1) normal[base + columns[q]] += weighted * values[q];
    }
  }
  for (let j = 0; j < n; j += 1) for (let k = 0; k < j; k += 1) normal[k * n + j] = normal[j * n + k];
}

/** Scales the normal matrix to a unit diagonal, so that unknowns of any unit can stand side by side. */
function scaled(normal: Float64Array, n: number): { matrix: Matrix; scale: Float64Array } {
  const scale = new Float64Array(n);
  for (let j = 0; j < n; j += 1) {
    const diagonal = normal[j * n + j];
    if (!(diagonal > 0)) throw new RangeError(`adjust: unknown ${j} is not touched by any measurement or prior`);
    scale[j] = 1 / Math.sqrt(diagonal);
  }
  const matrix = Matrix.zeros(n, n);
  for (let j = 0; j < n; j += 1) {
    for (let k = 0; k <= j; k += 1) {
      const element = normal[j * n + k] * scale[j] * scale[k];
      matrix.set(j, k, element);
      matrix.set(k, j, element);
    }
  }
  return { matrix, scale };
}

function solveDamped(normal: Float64Array, gradient: Float64Array, damping: number): Float64Array | undefined {
  const n = gradient.length;
  const { matrix, scale } = scaled(normal, n);
  for (let j = 0; j < n; j += 1) matrix.set(j, j, matrix.get(j, j) + damping);
  const cholesky = new CholeskyDecomposition(matrix);
  if (!cholesky.isPositiveDefinite()) return undefined;
  const solution = cholesky.solve(Matrix.columnVector(Array.from(gradient, (value, j) => value * scale[j])));
  return Float64Array.from({ length: n }, (_, j) => solution.get(j, 0) * scale[j]);
}

function invertNormal(normal: Float64Array, n: number): { covariance: Float64Array; condition: number } {
  const { matrix, scale } = scaled(normal, n);
  const values = new EigenvalueDecomposition(matrix, { assumeSymmetric: true }).realEigenvalues;
  const smallest = Math.min(...values);
  const condition = smallest > 0 ? Math.max(...values) / smallest : Infinity;
  const cholesky = new CholeskyDecomposition(matrix);
  if (!cholesky.isPositiveDefinite() || condition > 1e15) {
    throw new RangeError('adjust: the measurements do not determine the unknowns (singular normal matrix)');
  }
  const inverse = cholesky.solve(Matrix.eye(n));
  const covariance = new Float64Array(n * n);
  for (let j = 0; j < n; j += 1) {
    for (let k = 0; k <= j; k += 1) {
      covariance[j * n + k] = inverse.get(j, k) * scale[j] * scale[k];
      covariance[k * n + j] = covariance[j * n + k];
    }
  }
  return { covariance, condition };
}

/** Diagonal of J C J^T: the share of each residual that the unknowns take up. */
function leverages(jacobian: Float64Array, covariance: Float64Array, m: number, n: number): Float64Array {
  const result = new Float64Array(m);
  for (let i = 0; i < m; i += 1) {
    const row = i * n;
    let leverage = 0;
    for (let j = 0; j < n; j += 1) {
      const value = jacobian[row + j];
      if (value === 0) continue;
      let sum = 0;
      for (let k = 0; k < n; k += 1) sum += covariance[j * n + k] * jacobian[row + k];
      leverage += value * sum;
    }
    result[i] = leverage;
  }
  return result;
}
