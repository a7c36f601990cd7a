import { arcminute, degree } from './angle.ts';

export interface AirConditions {
  pressureHpa: number;
  temperatureC: number;
}

/** Conditions for which the formulas below are tabulated. */
export const standardAir: AirConditions = { pressureHpa: 1010, temperatureC: 10 };

const lowestRad = -degree;

const density = ({ pressureHpa, temperatureC }: AirConditions): number =>
  (pressureHpa / 1010) * (283 / (273 + temperatureC));

/** Below -1 degree the formulas have no meaning: refraction fades linearly to nothing at the nadir. */
function faded(altitudeRad: number, refraction: (altitudeDeg: number) => number): number {
  if (altitudeRad >= lowestRad) return refraction(altitudeRad / degree);
  return refraction(lowestRad / degree) * ((altitudeRad + Math.PI / 2) / (lowestRad + Math.PI / 2));
}

/**
 * Refraction to add to a true altitude (radians): Saemundsson, Sky and Telescope 72 (1986) 70, Meeus (1998) eq. 16.4.
 * Never negative: at the zenith the formula's own -0.06 arcsecond is cut off.
 */
export const refractionOfTrueAltitude = (altitudeRad: number, air: AirConditions = standardAir): number =>
  Math.max(
    0,
    density(air) * faded(altitudeRad, (h) => (1.02 / Math.tan((h + 10.3 / (h + 5.11)) * degree)) * arcminute),
  );

/**
 * Refraction to take from an apparent altitude (radians): Bennett, J. Navigation 35 (1982) 255, Meeus (1998) eq. 16.3;
 * agrees with Saemundsson's within 0.1 arcminute.
 */
export const refractionOfApparentAltitude = (altitudeRad: number, air: AirConditions = standardAir): number =>
  density(air) * faded(altitudeRad, (h) => arcminute / Math.tan((h + 7.31 / (h + 4.4)) * degree));
