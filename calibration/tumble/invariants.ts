import type { MeasurementModel } from '../adjust.ts';
import { tumbleUnknowns, type SensorNoise } from './types.ts';

const { accelBias, accelMatrix, fieldBias, fieldMatrix, dip, count: n } = tumbleUnknowns;

/** Readings of both sensors, six numbers each: accelerometer in g, magnetometer in nT. */
export type Readings = Float64Array;

/** What turns the three raw differences of a reading into whitened ones: lower triangle w11, w22, w31, w32, w33. */
const whiteningSize = 5;

/** The three invariants of one reading and the directions by which they change. */
interface Invariants {
  gravity: number;
  strength: number;
  angleRad: number;
  /** Unit vectors: up, field, and of each the perpendicular toward the other. */
  up: Float64Array;
  field: Float64Array;
  upToField: Float64Array;
  fieldToUp: Float64Array;
}

const blank = (): Invariants => ({
  gravity: 0,
  strength: 0,
  angleRad: 0,
  up: new Float64Array(3),
  field: new Float64Array(3),
  upToField: new Float64Array(3),
  fieldToUp: new Float64Array(3),
});

function invariantsAt(readings: Readings, i: number, u: Float64Array, into: Invariants): void {
  const { up, field, upToField, fieldToUp } = into;
  const a0 = readings[6 * i] - u[accelBias];
  const a1 = readings[6 * i + 1] - u[accelBias + 1];
  const a2 = readings[6 * i + 2] - u[accelBias + 2];
  const s = accelMatrix;
  const x = u[s] * a0 + u[s + 1] * a1 + u[s + 2] * a2;
  const y = u[s + 1] * a0 + u[s + 3] * a1 + u[s + 4] * a2;
  const z = u[s + 2] * a0 + u[s + 4] * a1 + u[s + 5] * a2;
  into.gravity = Math.sqrt(x * x + y * y + z * z);
  up[0] = x / into.gravity;
  up[1] = y / into.gravity;
  up[2] = z / into.gravity;
  const f0 = readings[6 * i + 3] - u[fieldBias];
  const f1 = readings[6 * i + 4] - u[fieldBias + 1];
  const f2 = readings[6 * i + 5] - u[fieldBias + 2];
  let squared = 0;
  for (let k = 0; k < 3; k += 1) {
    const m = fieldMatrix + 3 * k;
    field[k] = u[m] * f0 + u[m + 1] * f1 + u[m + 2] * f2;
    squared += field[k] * field[k];
  }
  into.strength = Math.sqrt(squared);
  let cosine = 0;
  for (let k = 0; k < 3; k += 1) {
    field[k] /= into.strength;
    cosine += up[k] * field[k];
  }
  const cx = up[1] * field[2] - up[2] * field[1];
  const cy = up[2] * field[0] - up[0] * field[2];
  const cz = up[0] * field[1] - up[1] * field[0];
  const sine = Math.sqrt(cx * cx + cy * cy + cz * cz);
  into.angleRad = Math.atan2(sine, cosine);
  for (let k = 0; k < 3; k += 1) {
    upToField[k] = (field[k] - cosine * up[k]) / sine;
    fieldToUp[k] = (up[k] - cosine * field[k]) / sine;
  }
}

/**
 * The attitude-free measurement model of a tumble: of each reading only gravity's length, the field's length and the angle
 * between them do not depend on how the board is held (method family: Kok and Schon 2016, IEEE Sensors J. 16(14)). With up u
 * and field f, that angle is pi/2 + dip.
 * Residuals per reading: |a| - 1, |f| / `fieldNt` - 1, angle - pi/2 - dip, whitened by `whitening` (see `whiteningOf`).
 */
export function invariantModel(readings: Readings, fieldNt: number, whitening: Float64Array): MeasurementModel {
  const samples = readings.length / 6;
  const at = blank();
  const { up, field, upToField, fieldToUp } = at;
  const byAccel = new Float64Array(9);
  const byAccelAngle = new Float64Array(9);
  return {
    unknowns: n,
    residuals: 3 * samples,
    evaluate(u, residual, jacobian) {
      for (let i = 0; i < samples; i += 1) {
        invariantsAt(readings, i, u, at);
        const w = whiteningSize * i;
        const w11 = whitening[w];
        const w22 = whitening[w + 1];
        const w31 = whitening[w + 2];
        const w32 = whitening[w + 3];
        const w33 = whitening[w + 4];
        const r1 = at.gravity - 1;
        const r2 = at.strength / fieldNt - 1;
        const r3 = at.angleRad - Math.PI / 2 - u[dip];
        residual[3 * i] = w11 * r1;
        residual[3 * i + 1] = w22 * r2;
        residual[3 * i + 2] = w31 * r1 + w32 * r2 + w33 * r3;

        const row1 = 3 * i * n;
        const row2 = row1 + n;
        const row3 = row2 + n;
        accelDerivatives(readings, i, u, up, byAccel);
        accelDerivatives(readings, i, u, upToField, byAccelAngle);
        for (let j = 0; j < 9; j += 1) {
          jacobian[row1 + j] = w11 * byAccel[j];
          jacobian[row3 + j] = w31 * byAccel[j] - (w33 * byAccelAngle[j]) / at.gravity;
        }
        const lengthWeight = 1 / fieldNt;
        const angleWeight = -1 / at.strength;
        for (let k = 0; k < 3; k += 1) {
          let byLength = 0;
          let byAngle = 0;
          const off = readings[6 * i + 3 + k] - u[fieldBias + k];
          for (let l = 0; l < 3; l += 1) {
            const element = u[fieldMatrix + 3 * l + k];
            byLength -= element * field[l] * lengthWeight;
            byAngle -= element * fieldToUp[l] * angleWeight;
            const change = fieldMatrix + 3 * l + k;
            const lengthChange = off * field[l] * lengthWeight;
            jacobian[row2 + change] = w22 * lengthChange;
            jacobian[row3 + change] = w32 * lengthChange + w33 * off * fieldToUp[l] * angleWeight;
          }
          jacobian[row2 + fieldBias + k] = w22 * byLength;
          jacobian[row3 + fieldBias + k] = w32 * byLength + w33 * byAngle;
        }
        jacobian[row3 + dip] = -w33;
      }
    },
  };
}

/** Derivatives of (direction . corrected acceleration) by the accelerometer's nine unknowns. */
function accelDerivatives(readings: Readings, i: number, u: Float64Array, d: Float64Array, into: Float64Array): void {
  const s = accelMatrix;
  into[0] = -(u[s] * d[0] + u[s + 1] * d[1] + u[s + 2] * d[2]);
  into[1] = -(u[s + 1] * d[0] + u[s + 3] * d[1] + u[s + 4] * d[2]);
  into[2] = -(u[s + 2] * d[0] + u[s + 4] * d[1] + u[s + 5] * d[2]);
  const a0 = readings[6 * i] - u[accelBias];
  const a1 = readings[6 * i + 1] - u[accelBias + 1];
  const a2 = readings[6 * i + 2] - u[accelBias + 2];
  into[3] = d[0] * a0;
  into[4] = d[0] * a1 + d[1] * a0;
  into[5] = d[0] * a2 + d[2] * a0;
  into[6] = d[1] * a1;
  into[7] = d[1] * a2 + d[2] * a1;
  into[8] = d[2] * a2;
}

/**
 * Whitening of the three invariants, for noise that is equal and independent on the axes of each (uncorrected) sensor: the two
 * lengths are independent of each other, the angle shares noise with both where a correction matrix is not a multiple of a
 * rotation. Inverse of the Cholesky factor of the 3 x 3 covariance at `u`.
 */
export function whiteningOf(readings: Readings, fieldNt: number, u: Float64Array, noise: SensorNoise): Float64Array {
  const samples = readings.length / 6;
  const whitening = new Float64Array(whiteningSize * samples);
  const at = blank();
  const spread = new Float64Array(12);
  for (let i = 0; i < samples; i += 1) {
    invariantsAt(readings, i, u, at);
    for (let k = 0; k < 3; k += 1) {
      // M^T times each direction: how the noise of axis k enters.
      const s = symmetricRow[k];
      spread[k] = sum3(u, s, at.up);
      spread[3 + k] = sum3(u, s, at.upToField);
      spread[6 + k] = columnSum(u, k, at.field);
      spread[9 + k] = columnSum(u, k, at.fieldToUp);
    }
    const byAccel = noise.accelG;
    const byField = noise.fieldNt;
    const v11 = byAccel ** 2 * product(spread, 0, 0);
    const v22 = (byField / fieldNt) ** 2 * product(spread, 6, 6);
    const v31 = (-(byAccel ** 2) * product(spread, 0, 3)) / at.gravity;
    const v32 = (-(byField ** 2) * product(spread, 6, 9)) / (fieldNt * at.strength);
    const v33 =
      (byAccel / at.gravity) ** 2 * product(spread, 3, 3) + (byField / at.strength) ** 2 * product(spread, 9, 9);
    const l11 = Math.sqrt(v11);
    const l22 = Math.sqrt(v22);
    const l31 = v31 / l11;
    const l32 = v32 / l22;
    const l33 = Math.sqrt(v33 - l31 ** 2 - l32 ** 2);
    whitening.set([1 / l11, 1 / l22, -l31 / (l11 * l33), -l32 / (l22 * l33), 1 / l33], whiteningSize * i);
  }
  return whitening;
}

/** The invariants themselves, less what they should be: three numbers per reading (1, 1, rad). */
export function invariantDifferences(readings: Readings, fieldNt: number, u: Float64Array): Float64Array {
  const samples = readings.length / 6;
  const differences = new Float64Array(3 * samples);
  const at = blank();
  for (let i = 0; i < samples; i += 1) {
    invariantsAt(readings, i, u, at);
    differences[3 * i] = at.gravity - 1;
    differences[3 * i + 1] = at.strength / fieldNt - 1;
    differences[3 * i + 2] = at.angleRad - Math.PI / 2 - u[dip];
  }
  return differences;
}

const symmetricRow = [
  [0, 1, 2],
  [1, 3, 4],
  [2, 4, 5],
] as const;

const sum3 = (u: Float64Array, row: readonly [number, number, number], d: Float64Array): number =>
  u[accelMatrix + row[0]] * d[0] + u[accelMatrix + row[1]] * d[1] + u[accelMatrix + row[2]] * d[2];
const columnSum = (u: Float64Array, k: number, d: Float64Array): number =>
  u[fieldMatrix + k] * d[0] + u[fieldMatrix + 3 + k] * d[1] + u[fieldMatrix + 6 + k] * d[2];
const product = (v: Float64Array, i: number, j: number): number =>
  v[i] * v[j] + v[i + 1] * v[j + 1] + v[i + 2] * v[j + 2];
