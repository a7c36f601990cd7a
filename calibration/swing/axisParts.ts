import { cross, type Matrix3, type Vector3 } from '../vector.ts';

/*
 * Directions of the world by their parts along e1, e2 and the polar axis, right-handed in this order: the axis stands at altitude h
 * and magnetic azimuth z, e1 is the part of "up" across it, and e2 = axis x e1 is level, 90 degrees clockwise of z seen from above.
 * (Own derivation.)
 */

/** The direction "up". */
export const upAcross = (h: number): Vector3 => [Math.cos(h), 0, Math.sin(h)];

/** The direction of a field of dip `i`. */
export function fieldAcross(h: number, z: number, i: number): Vector3 {
  const [north, down] = [Math.cos(i), Math.sin(i)];
  const [sh, ch] = [Math.sin(h), Math.cos(h)];
  const [sz, cz] = [Math.sin(z), Math.cos(z)];
  return [-sh * cz * north - ch * down, -sz * north, ch * cz * north - sh * down];
}

/** Derivatives of the parts of what stands still in the world, while the axis rises, turns eastward about `up`, or rolls. */
export const byAltitude = (parts: Vector3): Vector3 => cross(parts, [0, 1, 0]);
export const byAzimuth = (parts: Vector3, up: Vector3): Vector3 => cross(up, parts);
export const byRoll = (parts: Vector3): Vector3 => cross([0, 0, 1], parts);
/** The direction of a field moves with its dip as if it were a field of a dip 90 degrees greater. */
export const fieldByDip = (h: number, z: number, i: number): Vector3 => fieldAcross(h, z, i + Math.PI / 2);

/** From these parts to those along the board's two tangents and axis: at roll r the board has e1 at angle r from the first tangent. */
export const rolled = (rollRad: number, sense: 1 | -1): Matrix3 => {
  const [c, s] = [Math.cos(rollRad), Math.sin(rollRad)];
  return [c, -s, 0, sense * s, sense * c, 0, 0, 0, sense];
};
