import { arcminute, degree } from '../angle.ts';
import type { AxisErrors } from '../drift/driftModel.ts';
import { equatorialOf } from '../equatorial.ts';
import type { Gate } from '../gate.ts';
import { axisWithErrors, fromNed, toNed, truePole } from '../polarAxis.ts';
import { angleBetweenRad, type Vector3 } from '../vector.ts';
import { starWorth } from './bestStar.ts';

/** Nearer to the pole hardly any drift tells which way is west in the field. */
const leastPolarDistanceDeg = 5;
/** So near to the zenith the azimuth bolt hardly moves the star. */
const highestAltitudeDeg = 85;
/** Below, the air bends too much, and unsteadily. */
const lowestAltitudeDeg = { stop: 0, caution: 12 };
/** Further no eyepiece or finder follows a star, and the needles bring the axis nearer at once. */
const farthestDeg = 5;
/** So near to a pole of the Earth the polar axis stands upright, and azimuth is hardly a direction. */
const highestLatitudeDeg = 85;
/** What a reading is worth: a good star has 1.4. */
const worstSpread = { caution: 3, stop: 10 };

/** Whether a star does for a nudge. What fails first is named first. */
export function nudgeGates(starNed: Vector3, latitudeRad: number, errors: AxisErrors): Gate[] {
  const altitudeDeg = fromNed(starNed).altitudeRad / degree;
  const polarDistanceDeg = 90 - Math.abs(equatorialOf(starNed, latitudeRad).declinationRad) / degree;
  const pole = truePole(latitudeRad);
  const axis = axisWithErrors(pole, errors.altitudeErrorRad, errors.azimuthErrorRad);
  const distanceDeg = angleBetweenRad(toNed(axis), toNed(pole)) / degree;
  const { spread, byAltitude, byAzimuth } = starWorth(starNed, latitudeRad);
  const latitudeDeg = Math.abs(latitudeRad) / degree;
  const another = 'Take a star near the meridian, 20 to 60 degrees high; lodepole nudge --list names the best.';
  return [
    {
      verdict: latitudeDeg > highestLatitudeDeg ? 'stop' : 'ok',
      reason: 'latitude too near to a pole of the Earth, where the azimuth bolt hardly tilts the axis',
      value: latitudeDeg,
      limit: highestLatitudeDeg,
      unit: 'deg',
      nextAction: 'Bring the axis upright by a level instead, and prove it by drift.',
    },
    {
      verdict:
        altitudeDeg <= lowestAltitudeDeg.stop ? 'stop' : altitudeDeg < lowestAltitudeDeg.caution ? 'caution' : 'ok',
      reason:
        altitudeDeg <= lowestAltitudeDeg.stop
          ? 'the star is below the horizon'
          : 'the star is low: the air bends its light',
      value: altitudeDeg,
      limit: altitudeDeg <= lowestAltitudeDeg.stop ? lowestAltitudeDeg.stop : lowestAltitudeDeg.caution,
      unit: 'deg',
      nextAction: another,
    },
    {
      verdict: polarDistanceDeg < leastPolarDistanceDeg ? 'stop' : 'ok',
      reason: 'the star is too near the pole: the field hardly shows which way is west',
      value: polarDistanceDeg,
      limit: leastPolarDistanceDeg,
      unit: 'deg',
      nextAction: another,
    },
    {
      verdict: altitudeDeg > highestAltitudeDeg ? 'stop' : 'ok',
      reason: 'the star is too near the zenith: the azimuth bolt hardly moves it',
      value: altitudeDeg,
      limit: highestAltitudeDeg,
      unit: 'deg',
      nextAction: another,
    },
    {
      verdict: !(spread <= worstSpread.stop) ? 'stop' : spread > worstSpread.caution ? 'caution' : 'ok',
      reason:
        byAltitude < 0.3
          ? 'the altitude bolt hardly moves this star'
          : byAzimuth < 0.3
            ? 'the azimuth bolt hardly moves this star'
            : 'both bolts move this star nearly the same way',
      value: Math.min(spread, 1000),
      limit: spread <= worstSpread.stop ? worstSpread.caution : worstSpread.stop,
      unit: 'arcmin of the axis per arcmin of reading',
      nextAction: another,
    },
    {
      verdict: distanceDeg > farthestDeg ? 'stop' : 'ok',
      reason: 'the axis is too far from the pole for one nudge on a star',
      value: distanceDeg,
      limit: farthestDeg,
      unit: 'deg',
      nextAction: 'Nudge by the needles first, to within a degree; then use the star.',
    },
  ];
}

/** A star is led no further out than this share of the field's radius, where it is still seen and read well. */
const usedShare = 0.8;

/** Into how many equal steps a nudge is split so that the star stays in a field; the star is centred anew before each. */
export const stepsInField = (shiftRad: number, fieldRad: number): number =>
  Math.max(1, Math.ceil(shiftRad / ((usedShare * fieldRad) / 2) - 1e-9));

/** One reading of an eyepiece's field: a twentieth of its radius (common practice); a fifth of a division; a pixel and the seeing. */
export const readingSigma = {
  inField: (fieldRad: number): number => fieldRad / 2 / 20,
  inDivisions: (divisionRad: number): number => Math.hypot(divisionRad / 5, 0.025 * arcminute),
  inPixels: (pixelRad: number): number => Math.hypot(pixelRad, 0.025 * arcminute),
};
