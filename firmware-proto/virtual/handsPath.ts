import {
  multiply,
  norm,
  rotationAbout,
  scale,
  transpose,
  type Matrix3,
  type Vector3,
} from '../../calibration/vector.ts';

/** Share of a movement done at share `s` of its time, at rest at both ends (minimum jerk: Flash and Hogan 1985). */
export const eased = (s: number): number => s * s * s * (10 + s * (6 * s - 15));

/** Rotation vector of a rotation matrix, angle 0..pi. */
export function rotationVector(m: Matrix3): Vector3 {
  const skew: Vector3 = [m[7] - m[5], m[2] - m[6], m[3] - m[1]];
  const sine = norm(skew) / 2;
  const cosine = (m[0] + m[4] + m[8] - 1) / 2;
  const angle = Math.atan2(sine, cosine);
  if (sine > 1e-6) return scale(skew, angle / (2 * sine));
  if (cosine > 0) return scale(skew, 0.5);
  const diagonal = [m[0], m[4], m[8]];
  const k = diagonal.indexOf(Math.max(...diagonal));
  const column: Vector3 = [m[k], m[3 + k], m[6 + k]];
  const axis: Vector3 = [column[0] + (k === 0 ? 1 : 0), column[1] + (k === 1 ? 1 : 0), column[2] + (k === 2 ? 1 : 0)];
  return scale(axis, Math.PI / norm(axis));
}

/** The attitude at share `s` of the shortest turn from `a` to `b`. */
export function between(a: Matrix3, b: Matrix3, s: number): Matrix3 {
  const turn = rotationVector(multiply(transpose(a), b));
  const angle = norm(turn);
  return angle < 1e-12 ? b : multiply(a, rotationAbout(scale(turn, 1 / angle), angle * s));
}

/** x north, z up: a board that lies on a level table. */
export const flat: Matrix3 = [1, 0, 0, 0, -1, 0, 0, 0, -1];

/** Attitude (board to north-east-down) in which the board's direction at `fromZRad` from z, `aroundZRad` around it, points up. */
export function attitudeWithUp(fromZRad: number, aroundZRad: number, headingRad: number): Matrix3 {
  const upright = multiply(rotationAbout([0, 1, 0], -fromZRad), rotationAbout([0, 0, 1], -aroundZRad));
  return multiply(rotationAbout([0, 0, 1], headingRad), multiply(flat, upright));
}

export interface TumbleShape {
  /** Part of the sphere of "up" directions that the board is turned through, 0..1: a cap around its upright face. */
  coverage: number;
  turns: number;
  restEveryS: number;
  durationS: number;
  /** Where the first face and heading lie, radians. */
  phaseRad: number;
}

/**
 * A tumble in the hand: "up" runs down a spiral of even pitch in area over the board's sphere while the heading turns
 * too; the pace falls to nothing at every rest, as a person's does.
 */
export function tumbleAttitude(shape: TumbleShape, elapsedS: number): Matrix3 {
  const { coverage, turns, restEveryS, durationS, phaseRad } = shape;
  const rests = Math.max(1, Math.round(durationS / restEveryS));
  const time = Math.min(Math.max(elapsedS / durationS, 0), 1);
  const s = time - Math.sin(2 * Math.PI * rests * time) / (2 * Math.PI * rests);
  const fromZRad = Math.acos(1 - 2 * coverage * s);
  return attitudeWithUp(fromZRad, phaseRad + 2 * Math.PI * turns * s, 1.7 * phaseRad - 2 * Math.PI * 3.3 * s);
}

/** Turn rate in the board's frame, degrees per second, between two attitudes `elapsedS` apart. */
export const rateBetween = (before: Matrix3, after: Matrix3, elapsedS: number): Vector3 =>
  scale(rotationVector(multiply(transpose(before), after)), 180 / Math.PI / elapsedS);
