import { EigenvalueDecomposition, Matrix, solve } from 'ml-matrix';
import type { AffineCorrection } from './correction.ts';
import { matrix3, vector3, type Vector3 } from './vector.ts';

/** Readings as a flat array, three numbers each. */
type Flat3 = ArrayLike<number>;

/**
 * Algebraic ellipsoid: a x^2 + b y^2 + c z^2 + 2d xy + 2e xz + 2f yz + 2g x + 2h y + 2i z = 1 by linear least squares (A. Vitali,
 * STMicroelectronics DT0059, 2016), on readings first moved to their mean and scaled to unit size.
 * Gives the bias and the symmetric matrix that turn the readings into unit vectors; undefined when the best surface is no ellipsoid.
 */
export function fitEllipsoid(readings: Flat3): AffineCorrection | undefined {
  const n = Math.floor(readings.length / 3);
  if (n < 9) return undefined;
  const { mean, size } = centreOf(readings);
  const normal = Matrix.zeros(9, 9);
  const right = Matrix.zeros(9, 1);
  const row = new Float64Array(9);
  for (let i = 0; i < n; i += 1) {
    const x = (readings[3 * i] - mean[0]) / size;
    const y = (readings[3 * i + 1] - mean[1]) / size;
    const z = (readings[3 * i + 2] - mean[2]) / size;
    row.set([x * x, y * y, z * z, 2 * x * y, 2 * x * z, 2 * y * z, 2 * x, 2 * y, 2 * z]);
    for (let j = 0; j < 9; j += 1) {
      right.set(j, 0, right.get(j, 0) + row[j]);
      for (let k = 0; k < 9; k += 1) normal.set(j, k, normal.get(j, k) + row[j] * row[k]);
    }
  }
  const solution = solveOrUndefined(normal, right);
  if (!solution) return undefined;
  const [a, b, c, d, e, f, g, h, k] = solution;
  const shape = new Matrix([
    [a, d, e],
    [d, b, f],
    [e, f, c],
  ]);
  const linear = Matrix.columnVector([g, h, k]);
  const middle = solveOrUndefined(shape, linear)?.map((value) => -value);
  if (!middle) return undefined;
  const centre = Matrix.columnVector(middle);
  const level = 1 + centre.transpose().mmul(shape).mmul(centre).get(0, 0);
  const { realEigenvalues, eigenvectorMatrix: axes } = new EigenvalueDecomposition(shape.div(level), {
    assumeSymmetric: true,
  });
  if (!realEigenvalues.every((value) => value > 1e-6)) return undefined;
  const root = axes.mmul(Matrix.diag(realEigenvalues.map(Math.sqrt))).mmul(axes.transpose());
  return {
    bias: vector3([0, 1, 2].map((i) => mean[i] + size * middle[i])),
    matrix: matrix3(root.div(size).to1DArray()),
  };
}

/** Sphere by linear least squares: |y|^2 - |c|^2 = 2 c.y + (r^2 - ...); undefined when the readings lie in a plane. */
export function fitSphere(readings: Flat3): { centre: Vector3; radius: number } | undefined {
  const n = Math.floor(readings.length / 3);
  if (n < 4) return undefined;
  const { mean, size } = centreOf(readings);
  const normal = Matrix.zeros(4, 4);
  const right = Matrix.zeros(4, 1);
  for (let i = 0; i < n; i += 1) {
    const p = [0, 1, 2].map((j) => (readings[3 * i + j] - mean[j]) / size);
    const row = [2 * p[0], 2 * p[1], 2 * p[2], 1];
    const squared = p[0] ** 2 + p[1] ** 2 + p[2] ** 2;
    for (let j = 0; j < 4; j += 1) {
      right.set(j, 0, right.get(j, 0) + row[j] * squared);
      for (let k = 0; k < 4; k += 1) normal.set(j, k, normal.get(j, k) + row[j] * row[k]);
    }
  }
  const solution = solveOrUndefined(normal, right);
  if (!solution) return undefined;
  const [x, y, z, rest] = solution;
  const radius = Math.sqrt(rest + x * x + y * y + z * z) * size;
  return Number.isFinite(radius) && radius > 0
    ? { centre: [mean[0] + size * x, mean[1] + size * y, mean[2] + size * z], radius }
    : undefined;
}

function centreOf(readings: Flat3): { mean: [number, number, number]; size: number } {
  const n = Math.floor(readings.length / 3);
  const mean: [number, number, number] = [0, 0, 0];
  for (let i = 0; i < n; i += 1) for (let j = 0; j < 3; j += 1) mean[j] += readings[3 * i + j] / n;
  let squared = 0;
  for (let i = 0; i < n; i += 1) for (let j = 0; j < 3; j += 1) squared += (readings[3 * i + j] - mean[j]) ** 2 / n;
  return { mean, size: Math.sqrt(squared) || 1 };
}

function solveOrUndefined(matrix: Matrix, right: Matrix): number[] | undefined {
  const values = new EigenvalueDecomposition(Matrix.mul(matrix.clone(), 1), { assumeSymmetric: true }).realEigenvalues;
  const largest = Math.max(...values.map(Math.abs));
  if (!(Math.min(...values.map(Math.abs)) > 1e-12 * largest)) return undefined;
  const solution = solve(matrix, right).to1DArray();
  return solution.every(Number.isFinite) ? solution : undefined;
}
