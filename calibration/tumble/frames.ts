import { EigenvalueDecomposition, Matrix, SingularValueDecomposition } from 'ml-matrix';
import { determinant, identity3, matrix3, type Matrix3 } from '../vector.ts';
import { scaleMatrix3 } from './matrix.ts';

export interface FrameMatch {
  /** Whether a hemisphere was given, which tells a turn from a mirror image. */
  sided: boolean;
  /** Orthogonal: turns the magnetometer's frame into the accelerometer's; a reflection when the determinant is -1. */
  turn: Matrix3;
  sineDip: number;
  /** How much better the best turn explains the readings than the next one, 0 (clearly) .. 1 (not at all). */
  ambiguity: number;
}

/**
 * Finds how the magnetometer's frame is turned against the accelerometer's, from unit vectors of both (three numbers each): up_i . B
 * field_i + s = 0 for every attitude, ten homogeneous linear unknowns by the smallest eigenvector, then the orthogonal matrix nearest
 * to B (Procrustes, by singular values). (B, s) and (-B, -s) explain the readings alike: the hemisphere decides, else the
 * turn nearer to none.
 */
export function matchFrames(ups: Float64Array, fields: Float64Array, dipSign: number | undefined): FrameMatch {
  const normal = Matrix.zeros(10, 10);
  const row = new Float64Array(10);
  row[9] = 1;
  for (let i = 0; i < ups.length; i += 3) {
    for (let j = 0; j < 3; j += 1) for (let k = 0; k < 3; k += 1) row[3 * j + k] = ups[i + j] * fields[i + k];
    for (let j = 0; j < 10; j += 1)
      for (let k = 0; k < 10; k += 1) normal.set(j, k, normal.get(j, k) + row[j] * row[k]);
  }
  const { realEigenvalues, eigenvectorMatrix } = new EigenvalueDecomposition(normal, { assumeSymmetric: true });
  const order = realEigenvalues.map((_, i) => i).sort((i, j) => realEigenvalues[i] - realEigenvalues[j]);
  const vector = eigenvectorMatrix.getColumn(order[0]);
  const bilinear = new Matrix([vector.slice(0, 3), vector.slice(3, 6), vector.slice(6, 9)]);
  const {
    leftSingularVectors: left,
    rightSingularVectors: right,
    diagonal,
  } = new SingularValueDecomposition(bilinear, { autoTranspose: true });
  const turn = left.mmul(right.transpose()).to1DArray();
  const size = (diagonal[0] + diagonal[1] + diagonal[2]) / 3;
  const sine = vector[9] / size;
  const trace = turn[0] + turn[4] + turn[8];
  const sided = dipSign !== undefined && Math.abs(sine) >= 0.05;
  const flip = sided ? sine * dipSign < 0 : trace < 0;
  const sign = flip ? -1 : 1;
  return {
    sided,
    turn: scaleMatrix3(matrix3(turn), sign),
    sineDip: Math.max(-1, Math.min(1, sign * sine)),
    ambiguity: Math.sqrt(Math.max(realEigenvalues[order[0]], 0) / Math.max(realEigenvalues[order[1]], 1e-300)),
  };
}

/** The 24 proper rotations that carry axes into axes. */
const chipOrientations: readonly Matrix3[] = (() => {
  const found: Matrix3[] = [];
  for (const [i, j, k] of [
    [0, 1, 2],
    [0, 2, 1],
    [1, 0, 2],
    [1, 2, 0],
    [2, 0, 1],
    [2, 1, 0],
  ]) {
    for (let signs = 0; signs < 8; signs += 1) {
      const m = [0, 0, 0, 0, 0, 0, 0, 0, 0];
      m[i] = signs & 1 ? -1 : 1;
      m[3 + j] = signs & 2 ? -1 : 1;
      m[6 + k] = signs & 4 ? -1 : 1;
      const matrix = matrix3(m);
      if (determinant(matrix) > 0) found.push(matrix);
    }
  }
  return found;
})();

/** Cosine-like nearness of two orthogonal matrices: 1 + 2 cos(angle between them). */
export const nearness = (a: Matrix3, b: Matrix3): number => a.reduce((sum, value, i) => sum + value * b[i], 0);

/** The orientation of the magnetometer on the board: as declared unless the readings say clearly otherwise. */
export function nominalOrientation({ turn, ambiguity }: FrameMatch): Matrix3 {
  if (ambiguity > 0.3 || determinant(turn) < 0) return identity3;
  // Half-way between neighbouring orientations is 45 degrees: 1 + 2 cos 45.
  if (nearness(turn, identity3) > 1 + Math.SQRT2) return identity3;
  return chipOrientations.reduce((best, next) => (nearness(turn, next) > nearness(turn, best) ? next : best));
}
