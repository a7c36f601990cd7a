import { degree, wrapPi } from '../../calibration/angle.ts';
import { polarErrors, truePole } from '../../calibration/polarAxis.ts';
import { azimuthBySun } from '../../calibration/sun.ts';
import { dot, normalise, type Vector3 } from '../../calibration/vector.ts';
import { exitCode, Failure } from '../failure.ts';
import type { Site } from '../site/site.ts';
import { placeOf, type Place } from '../sky/place.ts';
import { minuteWords } from '../sky/starlight.ts';
import { targetNamed } from '../sky/target.ts';

const lowestSunRad = 3 * degree;

interface ShadowReading {
  /** Corrected gravity at rest, board frame. */
  accelG: Vector3;
  axisInBoard: Vector3;
  utc: Date;
  /** From the board's x arrow toward its y arrow. */
  shadowRad: number;
}

export interface SunSight {
  sun: Place;
  axisAzimuthRad: number;
  azimuthErrorRad: number;
  sigmaAzimuthRad: number;
}

/** Where the Sun stands. Throws Failure where it is too low for a shadow. */
export function requireShadow(site: Site, utc: Date): Place {
  const sun = placeOf(targetNamed('sun'), site, utc);
  if (sun.refractedAltitudeRad >= lowestSunRad) return sun;
  const degrees = (Math.abs(sun.refractedAltitudeRad) / degree).toFixed(1);
  const where = sun.refractedAltitudeRad < 0 ? `${degrees}° below the horizon` : `only ${degrees}° high`;
  throw new Failure(
    exitCode.refused,
    `The Sun is ${where} at ${minuteWords(utc)}: no shadow.`,
    'Wait until it is 3° up, or check the clock and the site.',
  );
}

/** The azimuth error of the polar axis from the shadow of a pin. Throws Failure where there is no shadow or it does not tell. */
export function judgeShadow({ accelG, axisInBoard, utc, shadowRad }: ShadowReading, site: Site): SunSight {
  const sun = requireShadow(site, utc);
  const seen = { altitudeRad: sun.refractedAltitudeRad, azimuthRad: sun.azimuthRad };
  try {
    const { azimuthRad, sigmaAzimuthRad } = azimuthBySun({ accelG, shadowRad }, seen, axisInBoard);
    const altitudeRad = Math.asin(dot(normalise(accelG), axisInBoard));
    const { azimuthErrorRad } = polarErrors({ altitudeRad, azimuthRad }, truePole(site.latitudeRad));
    return { sun, axisAzimuthRad: azimuthRad, azimuthErrorRad, sigmaAzimuthRad };
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    throw new Failure(
      exitCode.refused,
      `This shadow cannot be used: ${error.message.replace('sun: ', '')}.`,
      'Turn the axis so that the face of the board lies more level, and read the shadow again.',
    );
  }
}

/** No iron that a compass lives with turns it so far. */
const likelyDeviationRad = 45 * degree;

/** Throws Failure where the compass differs so much from the Sun that the shadow was not read as it is meant. */
export function requireLikely(deviationRad: number | undefined): void {
  if (deviationRad === undefined || Math.abs(wrapPi(deviationRad)) < likelyDeviationRad) return;
  throw new Failure(
    exitCode.refused,
    `The shadow and the compass differ by ${Math.abs(wrapPi(deviationRad) / degree).toFixed(0)}°.`,
    'Read where the shadow falls, not where the Sun is, from the x arrow toward the y arrow; and check the clock.',
  );
}

/** The shadow tells nothing of the altitude. */
const openRad = 30 * degree;

/** As a measurement of the night. */
export const sunEstimate = ({ azimuthErrorRad, sigmaAzimuthRad }: SunSight) => ({
  kind: 'sun' as const,
  altitudeErrorRad: 0,
  azimuthErrorRad,
  axisCovariance: [openRad ** 2, 0, 0, sigmaAzimuthRad ** 2] as const,
});
