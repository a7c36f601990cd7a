import { EigenvalueDecomposition, Matrix } from 'ml-matrix';
import { add, dot, scale, subtract, tangentsOf, type Vector3 } from '../vector.ts';

/** A dwell after the tumble's correction. */
export interface CorrectedDwell {
  up: Vector3;
  field: Vector3;
}

const mean = (vectors: readonly Vector3[]): Vector3 =>
  scale(
    vectors.reduce<Vector3>((sum, v) => add(sum, v), [0, 0, 0]),
    1 / vectors.length,
  );

/**
 * The common normal of the planes in which gravity and field run while the board turns: the axis, untouched by constant
 * biases; its sense is arbitrary. Smallest eigenvector of the scatter of both, each over its own strength.
 */
export function planeNormal(dwells: readonly CorrectedDwell[], strengthNt: number): Vector3 {
  const scatter = Matrix.zeros(3, 3);
  for (const [vectors, strength] of [
    [dwells.map(({ up }) => up), 1],
    [dwells.map(({ field }) => field), strengthNt],
  ] as const) {
    const middle = mean(vectors);
    for (const vector of vectors) {
      const off = scale(subtract(vector, middle), 1 / strength);
      for (let i = 0; i < 3; i += 1)
        for (let j = 0; j < 3; j += 1) scatter.set(i, j, scatter.get(i, j) + off[i] * off[j]);
    }
  }
  const { realEigenvalues, eigenvectorMatrix } = new EigenvalueDecomposition(scatter, { assumeSymmetric: true });
  const smallest = realEigenvalues.indexOf(Math.min(...realEigenvalues));
  return [eigenvectorMatrix.get(0, smallest), eigenvectorMatrix.get(1, smallest), eigenvectorMatrix.get(2, smallest)];
}

export interface SwingStart {
  axis: Vector3;
  altitudeRad: number;
  /** Both magnetic azimuths that the part of the field across the vertical plane of the axis allows. */
  azimuthRad: readonly [number, number];
  rollRad: number[];
  /** Corrected field of turning iron, with the part along the axis that each azimuth asks for. */
  ironNt: readonly [Vector3, Vector3];
}

/** Least-squares circle through points turned by known angles: point = centre + (x + i y) e^(i roll). */
function turnedCircle(
  points: readonly (readonly [number, number])[],
  rollRad: readonly number[],
): { centre: readonly [number, number]; x: number; y: number } {
  const n = points.length;
  let [c, s, px, py, gx, gy] = [0, 0, 0, 0, 0, 0];
  points.forEach(([x, y], i) => {
    const [cr, sr] = [Math.cos(rollRad[i]), Math.sin(rollRad[i])];
    c += cr / n;
    s += sr / n;
    px += x / n;
    py += y / n;
    gx += (x * cr + y * sr) / n;
    gy += (y * cr - x * sr) / n;
  });
  const spread = 1 - c * c - s * s;
  const x = (gx - (c * px + s * py)) / spread;
  const y = (gy - (c * py - s * px)) / spread;
  return { centre: [px - (c * x - s * y), py - (s * x + c * y)], x, y };
}

/** Where the fit starts, from an axis in the board with its sense decided. `strengthNt` and `dipRad` are those expected. */
export function startFrom(
  dwells: readonly CorrectedDwell[],
  axis: Vector3,
  strengthNt: number,
  dipRad: number,
): SwingStart {
  const [first, second] = tangentsOf(axis);
  const across = (v: Vector3): readonly [number, number] => [dot(v, first), dot(v, second)];
  const rollRad = dwells.map(({ up }) => {
    const [x, y] = across(up);
    return Math.atan2(y, x);
  });
  const altitudeRad = Math.asin(clamp(dot(mean(dwells.map(({ up }) => up)), axis)));
  const circle = turnedCircle(
    dwells.map(({ field }) => across(field)),
    rollRad,
  );
  const level = strengthNt * Math.cos(dipRad);
  const azimuth = Math.asin(clamp(-circle.y / level));
  const along = dot(mean(dwells.map(({ field }) => field)), axis);
  const ironAt = (azimuthRad: number): Vector3 => {
    const expected =
      level * Math.cos(altitudeRad) * Math.cos(azimuthRad) - strengthNt * Math.sin(dipRad) * Math.sin(altitudeRad);
    return add(add(scale(first, circle.centre[0]), scale(second, circle.centre[1])), scale(axis, along - expected));
  };
  const azimuthRad = [azimuth, Math.PI - azimuth] as const;
  return { axis, altitudeRad, azimuthRad, rollRad, ironNt: [ironAt(azimuthRad[0]), ironAt(azimuthRad[1])] };
}

const clamp = (value: number): number => Math.min(Math.max(value, -0.999), 0.999);
