import type { SensorCorrection } from '../correction.ts';
import { tumbleUnknowns, type TumbleCalibration } from '../tumble/types.ts';
import type { Matrix3 } from '../vector.ts';
import { symmetric } from './unknowns.ts';

const { accelBias, accelMatrix, fieldBias, fieldMatrix } = tumbleUnknowns;

export const plusIdentity = ([a, b, c, d, e, f, g, h, i]: Matrix3): Matrix3 => [a + 1, b, c, d, e + 1, f, g, h, i + 1];

/** The calibration as one vector in the order of `tumbleUnknowns`. */
export function calibrationVector({ correction, dipRad }: TumbleCalibration): Float64Array {
  const { accelerometer: a, magnetometer: m } = correction;
  const [xx, xy, xz, , yy, yz, , , zz] = a.matrix;
  return Float64Array.from([...a.bias, xx, xy, xz, yy, yz, zz, ...m.bias, ...m.matrix, dipRad]);
}

/** The correction that a vector in the order of `tumbleUnknowns` stands for. */
export const correctionOf = (y: ArrayLike<number>): SensorCorrection => ({
  accelerometer: { bias: [y[accelBias], y[accelBias + 1], y[accelBias + 2]], matrix: accelMatrixOf(y) },
  magnetometer: { bias: [y[fieldBias], y[fieldBias + 1], y[fieldBias + 2]], matrix: fieldMatrixOf(y) },
});

export const accelMatrixOf = (y: ArrayLike<number>): Matrix3 =>
  symmetric.map((k) => y[accelMatrix + k]) as unknown as Matrix3;
export const fieldMatrixOf = (y: ArrayLike<number>): Matrix3 =>
  Array.from({ length: 9 }, (_, k) => y[fieldMatrix + k]) as unknown as Matrix3;
