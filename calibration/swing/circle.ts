import { dot, type Matrix3, type Vector3 } from '../vector.ts';
import type { SwingCircle } from './types.ts';

/** What a component of gravity or field does in the plane across the axis; `frame` has tangents and axis as columns. */
export function circleSeen(vectors: readonly Vector3[], centre: Vector3, frame: Matrix3, radius: number): SwingCircle {
  const first: Vector3 = [frame[0], frame[3], frame[6]];
  const second: Vector3 = [frame[1], frame[4], frame[7]];
  const across = (v: Vector3): [number, number] => [dot(v, first), dot(v, second)];
  return { points: vectors.map(across), centre: across(centre), radius };
}
