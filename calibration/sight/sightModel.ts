import { wrapPi } from '../angle.ts';
import { axisFrame } from '../equatorial.ts';
import { dot, normalise, scale, tangentsOf, type Vector3 } from '../vector.ts';

/**
 * Which end of the declination axis the tube is on. `west`: the tube's end of the declination axis lies a quarter turn
 * west of where the tube points (a star on the meridian is seen with the tube west of the mount); `east` the other.
 */
export type Side = 'west' | 'east';

/** One star centred while the mount stood still. */
export interface Sight {
  /** Direction in which the star was seen (refracted), unit vector north-east-down. */
  starNed: Vector3;
  side: Side;
  /** Roll of gravity about the polar axis as the board read it: `rollOf`. */
  rollRad: number;
  /** Standard deviation of the whole sight, as roll. */
  sigmaRad: number;
  /** How far the bolts had moved the axis from where its errors are wanted, by the needles. */
  moved?: { altitudeRad: number; azimuthRad: number };
  /** Altitude of the axis as gravity showed it then, right but for an offset that all sights share: a step tells of a knock. */
  level?: { altitudeRad: number; sigmaRad: number };
}

/** Unknowns of the adjustment, in this order. */
export const unknownNames = [
  'altitude error',
  'azimuth error',
  'roll zero',
  'cone',
  'non-perpendicularity',
  'roll sine',
  'roll cosine',
] as const;
export const unknownCount = unknownNames.length;
export const [altitudeError, azimuthError, rollZero, cone, nonPerpendicularity, rollSine, rollCosine] = [
  0, 1, 2, 3, 4, 5, 6,
];

const hemisphereOf = (latitudeRad: number): 1 | -1 => (latitudeRad >= 0 ? 1 : -1);

/**
 * Roll of gravity about the polar axis: the angle of the upward direction around the axis' northern end, right-handed,
 * from a fixed direction of the board; it grows as the mount follows the sky.
 * @param upG accelerometer at rest, board frame (+1 g upward)
 * @param axisInBoard unit vector of the polar axis toward the elevated pole, board frame
 */
export function rollOf(upG: Vector3, axisInBoard: Vector3, latitudeRad: number): number {
  const north = scale(axisInBoard, hemisphereOf(latitudeRad));
  const [first, second] = tangentsOf(north);
  return Math.atan2(dot(upG, second), dot(upG, first));
}

/** Altitude of the polar axis as gravity in the board shows it, arguments as `rollOf`. */
export const levelOf = (upG: Vector3, axisInBoard: Vector3): number =>
  Math.asin(Math.max(-1, Math.min(1, dot(normalise(upG), axisInBoard))));

/**
 * Roll that a perfect sight shows, by exact rotations. A rigid tube whose line of sight is square to the declination
 * axis but for the cone c, on a declination axis square to the polar axis but for p, sees a star of declination d
 * about the mount's own axis at roll = H + s asin((sin d sin p + sin c) / (cos p cos d)), H the hour angle about that
 * axis, s = +1 for the tube on the west side and -1, with half a turn more, on the east. Roll sine and cosine are
 * what is left of the accelerometer's bias and of the axis' direction in the board: both go round with the roll.
 * Writes d roll / d unknown into `gradient` when given.
 */
export function predictedRoll(
  sight: Pick<Sight, 'starNed' | 'side' | 'moved'>,
  latitudeRad: number,
  unknown: ArrayLike<number>,
  gradient?: Float64Array,
): number {
  const hemisphere = hemisphereOf(latitudeRad);
  const altitudeRad = latitudeRad + hemisphere * (unknown[altitudeError] + (sight.moved?.altitudeRad ?? 0));
  const azimuthRad = hemisphere * (unknown[azimuthError] + (sight.moved?.azimuthRad ?? 0));
  const { north, meridian, west } = axisFrame(altitudeRad, azimuthRad);
  const n = dot(sight.starNed, north);
  const m = dot(sight.starNed, meridian);
  const w = dot(sight.starNed, west);
  const squared = m * m + w * w;
  const cosDec = Math.sqrt(squared);
  const side = sight.side === 'west' ? 1 : -1;
  const [sinP, cosP] = [Math.sin(unknown[nonPerpendicularity]), Math.cos(unknown[nonPerpendicularity])];
  const [sinC, cosC] = [Math.sin(unknown[cone]), Math.cos(unknown[cone])];
  const z = (n * sinP + sinC) / (cosP * cosDec);
  const turned = Math.atan2(w, m) + side * Math.asin(Math.max(-1, Math.min(1, z))) + (side < 0 ? Math.PI : 0);
  const roll = turned + unknown[rollZero];
  const [sinR, cosR] = [Math.sin(roll), Math.cos(roll)];
  if (gradient) {
    const slope = side / Math.sqrt(Math.max(1 - z * z, 1e-6));
    const zByN = sinP / (cosP * cosDec) + (z * n) / squared;
    const byAltitude = (w * n) / squared + slope * zByN * m;
    const byAzimuth =
      (m * (Math.cos(altitudeRad) * n - Math.sin(altitudeRad) * m) - w * w * Math.sin(altitudeRad)) / squared -
      slope * zByN * Math.cos(altitudeRad) * w;
    const carried = 1 + unknown[rollSine] * cosR - unknown[rollCosine] * sinR;
    gradient[altitudeError] = carried * hemisphere * byAltitude;
    gradient[azimuthError] = carried * hemisphere * byAzimuth;
    gradient[rollZero] = carried;
    gradient[cone] = (carried * slope * cosC) / (cosP * cosDec);
    gradient[nonPerpendicularity] = (carried * slope * (n + sinC * sinP)) / (cosP * cosP * cosDec);
    gradient[rollSine] = sinR;
    gradient[rollCosine] = cosR;
  }
  return roll + unknown[rollSine] * sinR + unknown[rollCosine] * cosR;
}

/**
 * The side that keeps the counterweight below the tube: a star east of the meridian is taken with the tube on the west
 * side and the other way round.
 */
export const sideWithCounterweightBelow = (hourAngleRad: number): Side => (wrapPi(hourAngleRad) < 0 ? 'west' : 'east');
