import { multiply, tangentsOf, type Matrix3, type Vector3 } from '../vector.ts';

/** Columns: two tangents of an axis in the board, and the axis. */
export function frameAbout(axis: Vector3): Matrix3 {
  const [a, b] = tangentsOf(axis);
  return [a[0], b[0], axis[0], a[1], b[1], axis[1], a[2], b[2], axis[2]];
}

/** Third column: the axis of a frame in the board. */
export const axisOf = (frame: Matrix3): Vector3 => [frame[2], frame[5], frame[8]];

/** `base` tilted about its first and then its second tangent, with the derivatives by both angles. */
export function tiltedFrame(
  base: Matrix3,
  first: number,
  second: number,
): { frame: Matrix3; byFirst: Matrix3; bySecond: Matrix3 } {
  const [ca, sa, cb, sb] = [Math.cos(first), Math.sin(first), Math.cos(second), Math.sin(second)];
  const times = (m: Matrix3): Matrix3 => multiply(base, m);
  return {
    frame: times([cb, 0, sb, sa * sb, ca, -sa * cb, -ca * sb, sa, ca * cb]),
    byFirst: times([0, 0, 0, ca * sb, -sa, -ca * cb, sa * sb, ca, -sa * cb]),
    bySecond: times([-sb, 0, cb, sa * cb, 0, sa * sb, -ca * cb, 0, -ca * sb]),
  };
}
