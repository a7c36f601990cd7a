import { inverse, Matrix, SingularValueDecomposition } from 'ml-matrix';
import type { Matrix3 } from '../vector.ts';

const rows = (m: Matrix3): Matrix => new Matrix([m.slice(0, 3), m.slice(3, 6), m.slice(6, 9)]);

export const invert3 = (m: Matrix3): Matrix3 => inverse(rows(m)).to1DArray() as unknown as Matrix3;
/** Largest first. */
export const singularValues3 = (m: Matrix3): [number, number, number] =>
  [...new SingularValueDecomposition(rows(m)).diagonal].sort((a, b) => b - a) as [number, number, number];
export const scaleMatrix3 = (m: Matrix3, factor: number): Matrix3 =>
  m.map((value) => value * factor) as unknown as Matrix3;
