import { CholeskyDecomposition, EigenvalueDecomposition, Matrix } from 'ml-matrix';

/** A measurement model: whitened residuals of all measurements and their derivatives by the unknowns. */
export interface MeasurementModel {
  unknowns: number;
  residuals: number;
  /**
   * Fills `residual[i]` = (measured - predicted) / sigma, and `jacobian[i * unknowns + j]` = d residual[i] / d unknown[j].
   */
  evaluate(unknown: Float64Array, residual: Float64Array, jacobian: Float64Array): void;
}

/** Independent normal priors on the unknowns; an infinite sigma means none. */
export interface Prior {
  mean: ArrayLike<number>;
  sigma: ArrayLike<number>;
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
  degreesOfFreedom: number;
  /** Condition number of the normal matrix after scaling its diagonal to one. */
  condition: number;
  iterations: number;
  converged: boolean;
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
  const residual = new Float64Array(m);
  const jacobian = new Float64Array(m * n);
  const weight = new Float64Array(Math.ceil(m / groupSize)).fill(1);
  const information = priorInformation(n, prior);
  let estimate = Float64Array.from(start);

  const cost = (unknown: Float64Array, r: Float64Array): number => {
    let sum = 0;
    for (let group = 0; group < weight.length; group += 1) {
      const squared = groupSquared(r, group, groupSize);
      const limit = robust?.threshold ?? Infinity;
      sum += squared <= limit * limit ? squared : 2 * limit * Math.sqrt(squared) - limit * limit;
    }
    if (prior) for (let j = 0; j < n; j += 1) sum += information[j] * (unknown[j] - prior.mean[j]) ** 2;
    return sum;
  };

  model.evaluate(estimate, residual, jacobian);
  let current = cost(estimate, residual);
  if (!Number.isFinite(current)) throw new RangeError('adjust: a residual is not finite at the start');

  const trialResidual = new Float64Array(m);
  const trialJacobian = new Float64Array(m * n);
  let damping = 1e-3;
  let iterations = 0;
  let converged = false;
  while (!converged && iterations < maximumIterations) {
    iterations += 1;
    if (robust) reweight(residual, weight, groupSize, robust.threshold);
    const { normal, gradient } = normalEquations(
      residual,
      jacobian,
      weight,
      groupSize,
      n,
      information,
      estimate,
      prior,
    );
    let accepted = false;
    for (let attempt = 0; attempt < 12 && !accepted; attempt += 1) {
      const step = solveDamped(normal, gradient, damping);
      if (step) {
        const trial = estimate.map((value, j) => value + step[j]);
        model.evaluate(trial, trialResidual, trialJacobian);
        const next = cost(trial, trialResidual);
        if (next <= current * (1 + 1e-12)) {
          let largest = 0;
          for (let j = 0; j < n; j += 1) largest = Math.max(largest, Math.abs(step[j]) * Math.sqrt(normal.get(j, j)));
          converged = largest < tolerance || current - next <= 1e-12 * current;
          estimate = trial;
          residual.set(trialResidual);
          jacobian.set(trialJacobian);
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

  if (robust) reweight(residual, weight, groupSize, robust.threshold);
  const { normal } = normalEquations(residual, jacobian, weight, groupSize, n, information, estimate, prior);
  const { covariance, condition } = invertNormal(normal);
  let chiSquared = 0;
  let effective = 0;
  for (let i = 0; i < m; i += 1) {
    const w = weight[Math.floor(i / groupSize)];
    chiSquared += w * residual[i] ** 2;
    effective += w;
  }
  return {
    estimate,
    covariance,
    residual,
    normalisedResidual: normaliseResiduals(residual, jacobian, covariance, n),
    weight,
    chiSquared,
    degreesOfFreedom: Math.max(effective + information.filter((value) => value > 0).length - n, 0),
    condition,
    iterations,
    converged,
  };
}

/** Standard deviation of unknown `index`. */
export const sigmaOf = (adjustment: Adjustment, index: number): number =>
  Math.sqrt(adjustment.covariance[index * adjustment.estimate.length + index]);

function priorInformation(n: number, prior: Prior | undefined): Float64Array {
  const information = new Float64Array(n);
  if (prior) for (let j = 0; j < n; j += 1) information[j] = 1 / prior.sigma[j] ** 2;
  return information;
}

function groupSquared(residual: Float64Array, group: number, groupSize: number): number {
  let sum = 0;
  const end = Math.min((group + 1) * groupSize, residual.length);
  for (let i = group * groupSize; i < end; i += 1) sum += residual[i] ** 2;
  return sum;
}

function reweight(residual: Float64Array, weight: Float64Array, groupSize: number, threshold: number): void {
  for (let group = 0; group < weight.length; group += 1) {
    const length = Math.sqrt(groupSquared(residual, group, groupSize));
    weight[group] = length <= threshold ? 1 : threshold / length;
  }
}

function normalEquations(
  residual: Float64Array,
  jacobian: Float64Array,
  weight: Float64Array,
  groupSize: number,
  n: number,
  information: Float64Array,
  estimate: Float64Array,
  prior: Prior | undefined,
): { normal: Matrix; gradient: Float64Array } {
  const flat = new Float64Array(n * n);
  const gradient = new Float64Array(n);
  for (let i = 0; i < residual.length; i += 1) {
    const w = weight[Math.floor(i / groupSize)];
    const row = i * n;
    for (let j = 0; j < n; j += 1) {
      const wj = w * jacobian[row + j];
      if (wj === 0) continue;
      gradient[j] -= wj * residual[i];
      for (let k = 0; k <= j; k += 1) flat[j * n + k] += wj * jacobian[row + k];
    }
  }
  const normal = Matrix.zeros(n, n);
  for (let j = 0; j < n; j += 1) {
    for (let k = 0; k <= j; k += 1) {
      normal.set(j, k, flat[j * n + k]);
      normal.set(k, j, flat[j * n + k]);
    }
    normal.set(j, j, normal.get(j, j) + information[j]);
    if (prior && information[j] > 0) gradient[j] -= information[j] * (estimate[j] - prior.mean[j]);
  }
  return { normal, gradient };
}

/** Scales the normal matrix to a unit diagonal, so that unknowns of any unit can stand side by side. */
function scaled(normal: Matrix): { matrix: Matrix; scale: Float64Array } {
  const n = normal.rows;
  const scale = new Float64Array(n);
  for (let j = 0; j < n; j += 1) {
    const diagonal = normal.get(j, j);
    if (!(diagonal > 0)) throw new RangeError(`adjust: unknown ${j} is not touched by any measurement or prior`);
    scale[j] = 1 / Math.sqrt(diagonal);
  }
  const matrix = Matrix.zeros(n, n);
  for (let j = 0; j < n; j += 1)
    for (let k = 0; k < n; k += 1) matrix.set(j, k, normal.get(j, k) * scale[j] * scale[k]);
  return { matrix, scale };
}

function solveDamped(normal: Matrix, gradient: Float64Array, damping: number): Float64Array | undefined {
  const { matrix, scale } = scaled(normal);
  const n = matrix.rows;
  for (let j = 0; j < n; j += 1) matrix.set(j, j, matrix.get(j, j) + damping);
  const cholesky = new CholeskyDecomposition(matrix);
  if (!cholesky.isPositiveDefinite()) return undefined;
  const solution = cholesky.solve(Matrix.columnVector(Array.from(gradient, (value, j) => value * scale[j])));
  return Float64Array.from({ length: n }, (_, j) => solution.get(j, 0) * scale[j]);
}

function invertNormal(normal: Matrix): { covariance: Float64Array; condition: number } {
  const { matrix, scale } = scaled(normal);
  const n = matrix.rows;
  const values = new EigenvalueDecomposition(matrix, { assumeSymmetric: true }).realEigenvalues;
  const smallest = Math.min(...values);
  const condition = smallest > 0 ? Math.max(...values) / smallest : Infinity;
  const cholesky = new CholeskyDecomposition(matrix);
  if (!cholesky.isPositiveDefinite() || condition > 1e15) {
    throw new RangeError('adjust: the measurements do not determine the unknowns (singular normal matrix)');
  }
  const inverse = cholesky.solve(Matrix.eye(n));
  const covariance = new Float64Array(n * n);
  for (let j = 0; j < n; j += 1)
    for (let k = 0; k < n; k += 1) covariance[j * n + k] = inverse.get(j, k) * scale[j] * scale[k];
  return { covariance, condition };
}

function normaliseResiduals(
  residual: Float64Array,
  jacobian: Float64Array,
  covariance: Float64Array,
  n: number,
): Float64Array {
  const result = new Float64Array(residual.length);
  for (let i = 0; i < residual.length; i += 1) {
    const row = i * n;
    let leverage = 0;
    for (let j = 0; j < n; j += 1) {
      let sum = 0;
      for (let k = 0; k < n; k += 1) sum += covariance[j * n + k] * jacobian[row + k];
      leverage += jacobian[row + j] * sum;
    }
    const redundancy = 1 - leverage;
    result[i] = redundancy > 1e-9 ? residual[i] / Math.sqrt(redundancy) : 0;
  }
  return result;
}
