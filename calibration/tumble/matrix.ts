import { inverse, Matrix, SingularValueDecomposition } from 'ml-matrix';
import { matrix3, type Matrix3 } from '../vector.ts';
import { tumbleUnknowns } from './types.ts';

const rows = (m: Matrix3): Matrix => new Matrix([m.slice(0, 3), m.slice(3, 6), m.slice(6, 9)]);

export const invert3 = (m: Matrix3): Matrix3 => matrix3(inverse(rows(m)).to1DArray());
/** Largest first. */
export const singularValues3 = (m: Matrix3): [number, number, number] =>
  [...new SingularValueDecomposition(rows(m)).diagonal].sort((a, b) => b - a) as [number, number, number];
export const scaleMatrix3 = (m: Matrix3, factor: number): Matrix3 => matrix3(m.map((value) => value * factor));

/** The matrices of both chips out of the unknowns; the accelerometer's is symmetric. */
export const accelMatrixOf = (u: ArrayLike<number>): Matrix3 => {
  const s = tumbleUnknowns.accelMatrix;
  return [u[s], u[s + 1], u[s + 2], u[s + 1], u[s + 3], u[s + 4], u[s + 2], u[s + 4], u[s + 5]];
};
export const fieldMatrixOf = (u: ArrayLike<number>): Matrix3 => matrix3(u, tumbleUnknowns.fieldMatrix);
