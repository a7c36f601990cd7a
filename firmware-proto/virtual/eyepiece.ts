import { arcminute } from '../../calibration/angle.ts';
import {
  add,
  apply,
  cross,
  dot,
  multiply,
  normalise,
  rotationAbout,
  scale,
  transpose,
  type Matrix3,
  type Vector3,
} from '../../calibration/vector.ts';

/** A star as it stands: hour angle west of the meridian, declination north; refraction, if any, is already in both. */
export interface StarPlace {
  hourAngleRad: number;
  declinationRad: number;
}

/** How the tube sits on the mount. */
export interface TubeMake {
  /** Cone: the tube leans from square toward the tube's end of the declination axis. */
  coneRad: number;
  /** The tube's end of the declination axis leans from square away from the elevated pole. */
  nonPerpendicularityRad: number;
}

/** Where the tube is when it looks at the meridian near the equator. Tube east sees the western sky with the counterweight below. */
export type TubeSide = 'east' | 'west';

/** Where the two axes stand. */
export interface Aim {
  /** Of the right-ascension axis, as in `Mount`. */
  axisAngleRad: number;
  /** From the elevated pole; its sign tells the side on which the tube passes the axis. */
  declinationAngleRad: number;
}

/** Unit vector north-east-down of a star (spherical triangle pole, zenith, star). */
export function starNed(latitudeRad: number, { hourAngleRad, declinationRad }: StarPlace): Vector3 {
  const [sl, cl] = [Math.sin(latitudeRad), Math.cos(latitudeRad)];
  const [sd, cd] = [Math.sin(declinationRad), Math.cos(declinationRad)];
  const [sh, ch] = [Math.sin(hourAngleRad), Math.cos(hourAngleRad)];
  return [cl * sd - sl * cd * ch, -cd * sh, -(sl * sd + cl * cd * ch)];
}

/** The declination axis toward the tube, and across it toward the pole and on from there, in the turning part's frame. */
function declinationAxes({ nonPerpendicularityRad }: TubeMake): { axis: Vector3; poleward: Vector3; across: Vector3 } {
  const c = Math.cos(nonPerpendicularityRad);
  const s = Math.sin(nonPerpendicularityRad);
  return { axis: [-s, 0, c], poleward: [c, 0, s], across: [0, 1, 0] };
}

interface View {
  forward: Vector3;
  /** Upward in the field: toward the elevated pole of the mount. */
  up: Vector3;
  right: Vector3;
}

/** Directions of the tube in north-east-down; `frame` is the mount's axis frame. */
export function viewOf(frame: Matrix3, tube: TubeMake, { axisAngleRad, declinationAngleRad }: Aim): View {
  const turned = multiply(frame, rotationAbout([1, 0, 0], axisAngleRad));
  const { axis, poleward, across } = declinationAxes(tube);
  const c = Math.cos(declinationAngleRad);
  const s = Math.sin(declinationAngleRad);
  const square = add(scale(poleward, c), scale(across, s));
  const forward = add(scale(square, Math.cos(tube.coneRad)), scale(axis, Math.sin(tube.coneRad)));
  const up = scale(add(scale(poleward, -s), scale(across, c)), declinationAngleRad > 0 ? -1 : 1);
  const inWorld = { forward: apply(turned, forward), up: apply(turned, up) };
  return { ...inWorld, right: cross(inWorld.forward, inWorld.up) };
}

/** Where in the field a direction appears: tangents of the angles rightward and upward; undefined behind the tube. */
export function offsetIn({ forward, up, right }: View, star: Vector3): { rightRad: number; upRad: number } | undefined {
  const depth = dot(forward, star);
  return depth > 0 ? { rightRad: dot(right, star) / depth, upRad: dot(up, star) / depth } : undefined;
}

/**
 * Turns of the two axes that centre a direction with the tube on the given side: the declination axis must stand at a
 * right angle less the cone from it, which two turns of the right-ascension axis do.
 * Throws RangeError within reach of the pole where none does.
 */
export function aimAt(frame: Matrix3, tube: TubeMake, star: Vector3, side: TubeSide): Aim {
  const passes = sideSign(frame, side);
  const [x, y, z] = apply(transpose(frame), star);
  const wanted =
    (Math.sin(tube.coneRad) + Math.sin(tube.nonPerpendicularityRad) * x) / Math.cos(tube.nonPerpendicularityRad);
  const ratio = wanted / Math.hypot(y, z);
  if (!(Math.abs(ratio) <= 1)) throw new RangeError('aimAt: the cone keeps the tube from pointing so near to its pole');
  const axisAngleRad = Math.atan2(-y, z) + passes * Math.acos(ratio);
  const { poleward, across } = declinationAxes(tube);
  const inTurned = apply(rotationAbout([1, 0, 0], -axisAngleRad), [x, y, z]);
  return { axisAngleRad, declinationAngleRad: Math.atan2(dot(across, inTurned), dot(poleward, inTurned)) };
}

/** True while the counterweight hangs below the tube. */
export const counterweightIsBelow = (frame: Matrix3, { axisAngleRad }: Aim): boolean =>
  apply(multiply(frame, rotationAbout([1, 0, 0], axisAngleRad)), [0, 0, 1])[2] <= 0;

/** The same direction seen with an error of centring. */
export function miscentred(view: View, star: Vector3, rightRad: number, upRad: number): Vector3 {
  return normalise(add(star, add(scale(view.right, rightRad), scale(view.up, upRad))));
}

/** Speed of a drive that follows the stars, right-handed about the elevated pole: 15.041067 arcseconds a second. */
export const siderealDriveRadPerS = (latitudeRad: number): number =>
  ((latitudeRad >= 0 ? -1 : 1) * 15.041067 * arcminute) / 60;

/** Which way round the tube passes the axis for a side; the frame's y axis points west in the north and east in the south. */
function sideSign(frame: Matrix3, side: TubeSide): 1 | -1 {
  const southern = frame[0] < 0;
  return (side === 'east') === southern ? -1 : 1;
}
