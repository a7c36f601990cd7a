import {
  angleBetweenRad,
  apply,
  cross,
  dot,
  identity3,
  multiply,
  norm,
  normalise,
  rotationAbout,
  type Matrix3,
  type Vector3,
} from '../../../calibration/vector.ts';

/** The smallest turn that takes one unit vector to another; half a turn is made about the edge that points to the right. */
function smallestTurn(from: Vector3, to: Vector3): Matrix3 {
  const axis = cross(from, to);
  return norm(axis) < 1e-3
    ? dot(from, to) > 0
      ? identity3
      : rotationAbout([1, 0, 0], Math.PI)
    : rotationAbout(normalise(axis), angleBetweenRad(from, to));
}

const up: Vector3 = [0, 0, 1];

/** How the board is held when this side of it points up, and how it is held after the smallest turn from there. */
export function attitudes(upNow: Vector3, upNext: Vector3 | undefined): { now: Matrix3; next: Matrix3 | undefined } {
  const now = smallestTurn(normalise(upNow), up);
  if (!upNext) return { now, next: undefined };
  return { now, next: multiply(smallestTurn(normalise(apply(now, upNext)), up), now) };
}
