import type { Scale } from './scale.ts';

export type Axis = 'altitude' | 'azimuth';

/** The error along one axis, radians. */
export const errorOf = (axis: Axis, errors: { altitudeErrorRad: number; azimuthErrorRad: number }): number =>
  axis === 'altitude' ? errors.altitudeErrorRad : errors.azimuthErrorRad;

/** Standard deviations in the shaded band and in "give or take": 19 times in 20 the truth lies within. */
export const bandSigmas = 2;

/** Which way the axis is off, in one word; > 0 is too high, too far east. */
export const sideOf = (axis: Axis, errorDeg: number): 'high' | 'low' | 'east' | 'west' => {
  if (axis === 'altitude') return errorDeg > 0 ? 'high' : 'low';
  return errorDeg > 0 ? 'east' : 'west';
};

/** With a sigma above this a needle says nothing of the axis at all, such as before the first tumble or while the axis is swung. */
const hopelessSigmaDeg = 15;
export const saysNothing = (sigmaDeg: number): boolean => sigmaDeg > hopelessSigmaDeg;

/** Decimals that the band justifies: its half-width has one or two figures. */
const decimalsFor = (bandInUnit: number): number => (bandInUnit >= 2 ? 0 : bandInUnit >= 0.2 ? 1 : 2);

/** Size of an angle in the unit of the scale, e.g. `41′` or `2.4°`, to the decimals that its band justifies. */
export function angleWords(angleDeg: number, bandDeg: number, unit: Scale['unit']): string {
  const factor = unit === '°' ? 1 : 60;
  return `${Math.abs(angleDeg * factor).toFixed(decimalsFor(bandDeg * factor))}${unit}`;
}

/** Unit of a reading and of its give-or-take, everywhere the same at one moment, whatever scale a needle has there. */
export const readingUnit = (errorDeg: number, sigmaDeg: number): Scale['unit'] =>
  Math.max(Math.abs(errorDeg), bandSigmas * sigmaDeg) >= 1 ? '°' : '′';

/** In whichever unit suits its size. */
export const plainAngle = (angleDeg: number, bandDeg: number): string =>
  angleWords(angleDeg, bandDeg, Math.abs(angleDeg) >= 1 ? '°' : '′');

/** `41′ east`; `0′` when nothing is left at the shown precision; no figure where nothing is known. */
export function readingWords(axis: Axis, errorDeg: number, sigmaDeg: number, unit: Scale['unit']): string {
  if (saysNothing(sigmaDeg)) return 'not known';
  const size = angleWords(errorDeg, bandSigmas * sigmaDeg, unit);
  return Number.parseFloat(size) === 0 ? size : `${size} ${sideOf(axis, errorDeg)}`;
}

/** `41′ east` in whichever unit suits; no side where nothing is left at the shown precision. */
export function sideWords(axis: Axis, errorDeg: number, bandDeg: number, too = ''): string {
  const size = plainAngle(errorDeg, bandDeg);
  return Number.parseFloat(size) === 0 ? `${size} off` : `${size} ${too}${sideOf(axis, errorDeg)}`;
}

/** Empty where nothing is known. */
export const giveOrTake = (sigmaDeg: number, unit: Scale['unit']): string =>
  saysNothing(sigmaDeg) ? '' : `give or take ${angleWords(bandSigmas * sigmaDeg, bandSigmas * sigmaDeg, unit)}`;

/** `41′ east, give or take 50′`. */
export const fullReading = (
  axis: Axis,
  errorDeg: number,
  sigmaDeg: number,
  unit: Scale['unit'],
  bandUnit = unit,
): string => [readingWords(axis, errorDeg, sigmaDeg, unit), giveOrTake(sigmaDeg, bandUnit)].filter(Boolean).join(', ');
