import { Matrix } from 'ml-matrix';
import { informationOf, type Prior } from '../adjust.ts';
import { priorInformation } from '../adjust/prior.ts';
import type { Wander, WanderRows } from './wander.ts';

/**
 * Covariance of a least-squares fit that took its rows for independent while they wander together:
 * (A)^-1 (J^T V J + P) (A)^-1 with A = J^T J + P, V the rows' true covariance and P the prior's information.
 * Row-major, unknowns x unknowns.
 */
export function covarianceUnderWander(rows: WanderRows, { timeS, white, felt }: Wander, prior: Prior): Float64Array {
  const { unknowns: n, readings, values, directions, classes, counts, gapS } = rows;
  const normal = new Float64Array(n * n);
  const meat = new Float64Array(n * n);
  // What the unknowns' gradient feels of the acceleration's three components: now, and of all that went before as far as it still lasts.
  const now = new Float64Array(3 * n);
  const before = new Float64Array(3 * n);
  for (let i = 0; i < readings; i += 1) {
    now.fill(0);
    for (let k = 0; k < 3; k += 1) {
      const at = (3 * i + k) * (n + 1);
      const variance = white[classes[i]][k];
      const size = felt[classes[i]][k] * Math.sqrt(counts[i]);
      const d = 6 * i + (k === 2 ? 3 : 0);
      for (let j = 0; j < n; j += 1) {
        const value = values[at + j];
        if (value === 0) continue;
        for (let l = 0; l <= j; l += 1) {
          const product = value * values[at + l];
          normal[j * n + l] += product;
          meat[j * n + l] += variance * product;
        }
        for (let q = 0; q < 3; q += 1) now[3 * j + q] += size * value * directions[d + q];
      }
    }
    const keep = Math.exp(-gapS[i] / timeS);
    for (let j = 0; j < 3 * n; j += 1) before[j] *= keep;
    for (let j = 0; j < n; j += 1)
      for (let l = 0; l <= j; l += 1)
        for (let q = 0; q < 3; q += 1) {
          const [a, b] = [3 * j + q, 3 * l + q];
          meat[j * n + l] += now[a] * (now[b] + before[b]) + before[a] * now[b];
        }
    for (let j = 0; j < 3 * n; j += 1) before[j] += now[j];
  }
  for (let j = 0; j < n; j += 1)
    for (let l = 0; l < j; l += 1) {
      normal[l * n + j] = normal[j * n + l];
      meat[l * n + j] = meat[j * n + l];
    }
  const information = priorInformation(n, prior);
  for (let cell = 0; cell < n * n; cell += 1) {
    normal[cell] += information[cell];
    meat[cell] += information[cell];
  }
  const bread = Matrix.from1DArray(n, n, informationOf(normal));
  return Float64Array.from(
    bread
      .mmul(Matrix.from1DArray(n, n, meat))
      .mmul(bread)
      .to1DArray(),
  );
}
