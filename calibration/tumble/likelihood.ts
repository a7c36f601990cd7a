import { CholeskyDecomposition, Matrix } from 'ml-matrix';
import { priorGradient, priorInformation, priorLoss, type Prior } from '../adjust/prior.ts';
import type { Wander, WanderRows } from './wander.ts';

/**
 * Gives -2 times the logarithm of the restricted likelihood of a wander, but for a constant (REML, Patterson and Thompson 1971): of what
 * the unknowns, linear about `start` and with their normal prior, cannot take up.
 */
export function restrictedLikelihood(
  rows: WanderRows,
  prior: Prior,
  start: ArrayLike<number>,
): (wander: Wander) => number {
  const n = rows.unknowns;
  const size = n + 1;
  const fieldLengths = new Float64Array(size * size);
  for (let i = 0; i < rows.readings; i += 1)
    addSquare(fieldLengths, rows.values.subarray((3 * i + 1) * size, (3 * i + 2) * size));
  const information = priorInformation(n, prior);
  const gradient = priorGradient(start, information, prior);
  for (let j = 0; j < n; j += 1) {
    for (let k = 0; k <= j; k += 1) fieldLengths[j * size + k] += information[j * n + k];
    fieldLengths[n * size + j] += gradient[j];
  }
  fieldLengths[n * size + n] += priorLoss(start, information, prior);
  return (wander) => {
    const normal = Float64Array.from(fieldLengths);
    const logDeterminant = addInnovations(normal, rows, wander);
    const scale = Float64Array.from({ length: size }, (_, j) => 1 / Math.sqrt(normal[j * size + j]));
    const scaled = new Matrix(size, size);
    for (let j = 0; j < size; j += 1)
      for (let k = 0; k <= j; k += 1) {
        const value = normal[j * size + k] * scale[j] * scale[k];
        scaled.set(j, k, value);
        scaled.set(k, j, value);
      }
    const cholesky = new CholeskyDecomposition(scaled);
    if (!cholesky.isPositiveDefinite()) return Infinity;
    const lower = cholesky.lowerTriangularMatrix;
    let value = logDeterminant;
    for (let j = 0; j < n; j += 1) value += 2 * Math.log(lower.get(j, j) / scale[j]);
    // The last row's diagonal is what the unknowns leave of the residuals.
    return value + (lower.get(n, n) / scale[n]) ** 2;
  };
}

function addSquare(normal: Float64Array, row: Float64Array): void {
  const size = row.length;
  for (let j = 0; j < size; j += 1) {
    const value = row[j];
    if (value === 0) continue;
    for (let k = 0; k <= j; k += 1) normal[j * size + k] += value * row[k];
  }
}

/**
 * Whitens the rows of gravity's length and of the angle by a Kalman filter of the wander (innovations; every column its own mean, one gain
 * for all), and adds their squares to `normal`. Returns the logarithm of the determinant of the rows' covariance.
 */
function addInnovations(normal: Float64Array, rows: WanderRows, { timeS, white, felt }: Wander): number {
  const { values, directions, classes, counts, gapS, readings } = rows;
  const size = rows.unknowns + 1;
  const [m0, m1, m2] = [new Float64Array(size), new Float64Array(size), new Float64Array(size)];
  const row = new Float64Array(size);
  let [pxx, pxy, pxz, pyy, pyz, pzz] = [1, 0, 0, 1, 0, 1];
  let logDeterminant = 0;
  for (let i = 0; i < readings; i += 1) {
    const together = i === 0 ? 1 : (counts[i] + counts[i - 1]) / 2;
    const keep = Math.exp(-(gapS[i] * stepOfMeans(together)) / timeS);
    for (let j = 0; j < size; j += 1) {
      m0[j] *= keep;
      m1[j] *= keep;
      m2[j] *= keep;
    }
    const kept = keep * keep;
    pxx = pxx * kept + 1 - kept;
    pyy = pyy * kept + 1 - kept;
    pzz = pzz * kept + 1 - kept;
    pxy *= kept;
    pxz *= kept;
    pyz *= kept;
    for (let k = 0; k < 3; k += 2) {
      const size1 = felt[classes[i]][k] * Math.sqrt(counts[i]);
      const d = 6 * i + (k === 0 ? 0 : 3);
      const hx = size1 * directions[d];
      const hy = size1 * directions[d + 1];
      const hz = size1 * directions[d + 2];
      const qx = pxx * hx + pxy * hy + pxz * hz;
      const qy = pxy * hx + pyy * hy + pyz * hz;
      const qz = pxz * hx + pyz * hy + pzz * hz;
      const variance = white[classes[i]][k] + hx * qx + hy * qy + hz * qz;
      const root = 1 / Math.sqrt(variance);
      const [gx, gy, gz] = [qx / variance, qy / variance, qz / variance];
      const at = (3 * i + k) * size;
      for (let j = 0; j < size; j += 1) {
        const innovation = values[at + j] - hx * m0[j] - hy * m1[j] - hz * m2[j];
        m0[j] += gx * innovation;
        m1[j] += gy * innovation;
        m2[j] += gz * innovation;
        row[j] = innovation * root;
      }
      pxx -= gx * qx;
      pxy -= gx * qy;
      pxz -= gx * qz;
      pyy -= gy * qy;
      pyz -= gy * qz;
      pzz -= gz * qz;
      addSquare(normal, row);
      logDeterminant += Math.log(variance);
    }
  }
  return logDeterminant;
}

/**
 * Means of n neighbouring readings of such a process follow each other more alike than single readings as far apart: to first order as if
 * the step were this much shorter.
 */
const stepOfMeans = (n: number): number => (2 * n * n + 1) / (3 * n * n);
