import { CholeskyDecomposition, EigenvalueDecomposition, Matrix } from 'ml-matrix';
import type { OwnUnknowns } from './own.ts';

/** Normal matrix and gradient of the data alone, by the shared unknowns; columns that are zero in a row cost nothing. */
export function accumulate(
  residual: Float64Array,
  jacobian: Float64Array,
  weight: Float64Array,
  groupSize: number,
  normal: Float64Array,
  gradient: Float64Array,
): void {
  const n = gradient.length;
  const width = jacobian.length / residual.length;
  normal.fill(0);
  gradient.fill(0);
  const columns = new Int32Array(n);
  const values = new Float64Array(n);
  for (let i = 0; i < residual.length; i += 1) {
    const w = weight[Math.floor(i / groupSize)];
    const row = i * width;
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

/** Levenberg-Marquardt step of all unknowns; undefined where the damped matrix is not positive definite. */
export function solveDamped(
  normal: Float64Array,
  gradient: Float64Array,
  damping: number,
  own?: OwnUnknowns,
): Float64Array | undefined {
  const n = gradient.length;
  const { matrix, scale } = scaled(normal, n);
  for (let j = 0; j < n; j += 1) matrix.set(j, j, matrix.get(j, j) + damping);
  const right = gradient.map((value, j) => value * scale[j]);
  own?.takeFrom(matrix, right, scale, damping);
  const cholesky = new CholeskyDecomposition(matrix);
  if (!cholesky.isPositiveDefinite()) return undefined;
  const solution = cholesky.solve(Matrix.columnVector(right));
  const step = scale.map((factor, j) => solution.get(j, 0) * factor);
  return own?.withOwn(step, damping) ?? step;
}

/** Throws RangeError when the matrix is singular. */
export function invertNormal(normal: Float64Array, n: number): { covariance: Float64Array; condition: number } {
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

/** Diagonal of J C J^T: the share of each residual that the unknowns take up; the own ones take up `taken`. */
export function leverages(
  jacobian: Float64Array,
  covariance: Float64Array,
  m: number,
  n: number,
  taken: Float64Array = new Float64Array(m),
): Float64Array {
  const result = new Float64Array(m);
  for (let i = 0; i < m; i += 1) {
    const row = i * n;
    let leverage = taken[i];
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
