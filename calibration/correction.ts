import { apply, subtract, type Matrix3, type Vector3 } from './vector.ts';

/** corrected = matrix * (reading - bias), both in the board's frame. */
export interface AffineCorrection {
  bias: Vector3;
  matrix: Matrix3;
}

/** What a tumble finds: accelerometer in g, magnetometer in nT, both turned into the one frame of the board. */
export interface SensorCorrection {
  accelerometer: AffineCorrection;
  magnetometer: AffineCorrection;
}

export const correct = ({ bias, matrix }: AffineCorrection, reading: Vector3): Vector3 =>
  apply(matrix, subtract(reading, bias));
