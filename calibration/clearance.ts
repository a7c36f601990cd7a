import { axisFrame } from './equatorial.ts';
import type { Side } from './sight/sightModel.ts';
import { add, dot, norm, scale, subtract, type Vector3 } from './vector.ts';

/** The instrument and what it stands on, as the user measured them, millimetres. */
export interface Measures {
  /** From the right-ascension axis to the middle of the tube. */
  tubeOutMm: number;
  /** From the declination axis to the sky end and to the eyepiece end with all that sticks out. */
  tubeFrontMm: number;
  tubeRearMm: number;
  tubeDiameterMm: number;
  /** From the crossing of both axes down to where the legs meet, and to the ground. */
  headBelowMm: number;
  groundBelowMm: number;
  /** From the middle to a foot on the ground. */
  footOutMm: number;
  /** Thickness of a leg. */
  legMm: number;
  /** Azimuth of one leg; the others follow at a third of a turn. */
  legAzimuthRad: number;
}

interface Segment {
  from: Vector3;
  to: Vector3;
}

const clamp = (value: number): number => Math.max(0, Math.min(1, value));

/** Least distance between two straight pieces (C. Ericson, Real-Time Collision Detection, 2005, sec. 5.1.9). */
export function distanceBetween(one: Segment, two: Segment): number {
  const along = subtract(one.to, one.from);
  const other = subtract(two.to, two.from);
  const between = subtract(one.from, two.from);
  const [a, e, b] = [dot(along, along), dot(other, other), dot(along, other)];
  const [c, f] = [dot(along, between), dot(other, between)];
  const denominator = a * e - b * b;
  let s = denominator > 1e-12 * a * e ? clamp((b * f - c * e) / denominator) : 0;
  let t = (b * s + f) / e;
  if (t < 0 || t > 1) {
    t = clamp(t);
    s = clamp((b * t - c) / a);
  }
  return norm(subtract(add(one.from, scale(along, s)), add(two.from, scale(other, t))));
}

/** The tube's middle line, north-east-down about the crossing of the axes. */
function tubeOf(measures: Measures, hourAngleRad: number, declinationRad: number, latitudeRad: number, side: Side) {
  const { north, meridian, west } = axisFrame(latitudeRad, 0);
  const around = (angleRad: number): Vector3 =>
    add(scale(meridian, Math.cos(angleRad)), scale(west, Math.sin(angleRad)));
  const sky = add(scale(north, Math.sin(declinationRad)), scale(around(hourAngleRad), Math.cos(declinationRad)));
  const out = around(hourAngleRad + (side === 'west' ? 1 : -1) * (Math.PI / 2));
  const middle = scale(out, measures.tubeOutMm);
  return {
    from: add(middle, scale(sky, -measures.tubeRearMm)),
    to: add(middle, scale(sky, measures.tubeFrontMm)),
  };
}

function legsOf(measures: Measures): Segment[] {
  return [0, 1, 2].map((leg) => {
    const azimuthRad = measures.legAzimuthRad + (leg * 2 * Math.PI) / 3;
    return {
      from: [0, 0, measures.headBelowMm],
      to: [
        measures.footOutMm * Math.cos(azimuthRad),
        measures.footOutMm * Math.sin(azimuthRad),
        measures.groundBelowMm,
      ],
    };
  });
}

/**
 * Air between the tube and the nearest leg of the tripod, or the ground, millimetres; < 0: they meet. The tube is taken as
 * a cylinder with round ends that reach half a diameter beyond it, a leg as a rod: the real tube comes no nearer than this says.
 * @param hourAngleRad west positive
 */
export function clearanceMm(
  measures: Measures,
  hourAngleRad: number,
  declinationRad: number,
  latitudeRad: number,
  side: Side,
): number {
  const tube = tubeOf(measures, hourAngleRad, declinationRad, latitudeRad, side);
  const radius = measures.tubeDiameterMm / 2;
  const toLegs = legsOf(measures).map((leg) => distanceBetween(tube, leg) - radius - measures.legMm / 2);
  const toGround = measures.groundBelowMm - Math.max(tube.from[2], tube.to[2]) - radius;
  return Math.min(...toLegs, toGround);
}
