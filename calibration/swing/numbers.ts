import type { SensorCorrection } from '../correction.ts';
import { accelMatrixOf, fieldMatrixOf } from '../tumble/matrix.ts';
import { tumbleUnknowns, type TumbleCalibration } from '../tumble/types.ts';
import { vector3, type Matrix3 } from '../vector.ts';

const { accelBias, fieldBias } = tumbleUnknowns;

export const plusIdentity = ([a, b, c, d, e, f, g, h, i]: Matrix3): Matrix3 => [a + 1, b, c, d, e + 1, f, g, h, i + 1];

/** The calibration as one vector in the order of `tumbleUnknowns`. */
export function calibrationVector({ correction, dipRad }: TumbleCalibration): Float64Array {
  const { accelerometer: a, magnetometer: m } = correction;
  const [xx, xy, xz, , yy, yz, , , zz] = a.matrix;
  return Float64Array.from([...a.bias, xx, xy, xz, yy, yz, zz, ...m.bias, ...m.matrix, dipRad]);
}

/** The correction that a vector in the order of `tumbleUnknowns` stands for. */
export const correctionOf = (y: ArrayLike<number>): SensorCorrection => ({
  accelerometer: { bias: vector3(y, accelBias), matrix: accelMatrixOf(y) },
  magnetometer: { bias: vector3(y, fieldBias), matrix: fieldMatrixOf(y) },
});
