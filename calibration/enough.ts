import { chanceAbove } from './chance.ts';

/** Turn of the sky: 2 pi in a sidereal day of 86164.0905 s. */
export const skyRadPerS = (2 * Math.PI) / 86164.0905;

/**
 * Fastest declination drift, radians per second, of any star while the axis is `distanceRad` from the pole:
 * 0.2625 arcseconds a minute for each arcminute (15.04 arcseconds a second times the angle).
 */
export const largestDriftRadPerS = (distanceRad: number): number => skyRadPerS * Math.sin(distanceRad);

/** Fastest turn of the field, radians per second, around a star of `declinationRad` that is held still. */
export const largestFieldRotationRadPerS = (distanceRad: number, declinationRad: number): number =>
  (skyRadPerS * Math.sin(distanceRad)) / Math.cos(declinationRad);

/** A photograph: what may blur before it shows. */
export interface Exposure {
  exposureS: number;
  focalLengthM: number;
  declinationRad: number;
  /** Length on the sensor that is still allowed to smear. */
  smearM: number;
  /** From the star that is held still to the farthest corner of the picture, on the sky. */
  cornerRad: number;
  /** A guided exposure corrects the drift; the field still turns. */
  guided: boolean;
}

export interface Allowed {
  /** Largest distance from the pole at which drift stays within the smear, radians; infinite when guided. */
  driftRad: number;
  /** The same for the turning field. */
  rotationRad: number;
  /** The smaller one. */
  distanceRad: number;
}

/** Keeps the arcsine real: an allowance beyond a radian is no limit at all. */
const distanceFor = (sine: number): number => (sine >= 1 ? Math.PI / 2 : Math.asin(sine));

/**
 * Allowed distance from the pole in the worst direction for a photograph. Drift: smear = F omega T sin E; field
 * rotation: smear = F A omega T sin E / cos d, R. N. Hook, J. Br. Astron. Assoc. 99 (1989) 19 with the constant derived.
 */
export function allowedForExposure(exposure: Exposure): Allowed {
  const { exposureS, focalLengthM, declinationRad, smearM, cornerRad, guided } = exposure;
  const sine = smearM / (focalLengthM * skyRadPerS * exposureS);
  const driftRad = guided ? Infinity : distanceFor(sine);
  const rotationRad = distanceFor((sine * Math.cos(declinationRad)) / cornerRad);
  return { driftRad, rotationRad, distanceRad: Math.min(driftRad, rotationRad) };
}

/** Allowed distance from the pole so that a target, driven and centred, stays in a field of view for some time. */
export const allowedForEyepiece = (fieldRad: number, stayS: number): number =>
  distanceFor(fieldRad / 2 / (skyRadPerS * stayS));

const steps = 400;

/**
 * Chance that a point with mean (`meanX`, `meanY`) and the given covariance lies within `radius` of the origin:
 * Simpson's rule along one axis, the normal's own integral along the other.
 * @param covariance row-major 2 x 2, same units squared as the means
 */
export function chanceWithin(
  radius: number,
  meanX: number,
  meanY: number,
  covariance: readonly [number, number, number, number],
): number {
  const [xx, xy, , yy] = covariance;
  const sigmaX = Math.sqrt(xx);
  const slope = xy / xx;
  const sigmaY = Math.sqrt(Math.max(yy - slope * xy, yy * 1e-12));
  const low = Math.max(-radius, meanX - 8 * sigmaX);
  const high = Math.min(radius, meanX + 8 * sigmaX);
  if (!(high > low)) return 0;
  let sum = 0;
  for (let i = 0; i <= steps; i += 1) {
    const x = low + ((high - low) * i) / steps;
    const half = Math.sqrt(Math.max(radius * radius - x * x, 0));
    const centre = meanY + slope * (x - meanX);
    const inside = chanceAbove((-half - centre) / sigmaY) - chanceAbove((half - centre) / sigmaY);
    const density = Math.exp(-(((x - meanX) / sigmaX) ** 2) / 2) / (sigmaX * Math.sqrt(2 * Math.PI));
    sum += inside * density * (i === 0 || i === steps ? 1 : i % 2 === 1 ? 4 : 2);
  }
  return Math.min(1, (sum * (high - low)) / (3 * steps));
}

export type Verdict = 'good enough' | 'probably good enough' | 'probably not good enough' | 'not good enough';

/** The verdict in words: certain at 95 percent. */
export function verdictOf(chance: number): Verdict {
  if (chance >= 0.95) return 'good enough';
  if (chance >= 0.5) return 'probably good enough';
  return chance > 0.05 ? 'probably not good enough' : 'not good enough';
}
