import { arcminute, arcsecond } from '../../calibration/angle.ts';
import { exitCode, Failure } from '../failure.ts';

const units: readonly [RegExp, number, boolean][] = [
  [/^(?:arcsec(?:onds?)?|″|")$/i, arcsecond, false],
  [/^(?:division|div)s?$/i, arcsecond, true],
  [/^(?:pixel|px)s?$/i, arcsecond, true],
  [/^field$/i, arcminute, true],
];

/** Seeing and the wander of a drive between two readings; common practice: 1 to 2 arcseconds on a good night. */
const seeingRad = 1.5 * arcsecond;
/** Common practice: by eye a fifth of a division, or a fiftieth of the whole field. */
const eyeShare = { division: 1 / 5, field: 1 / 50 };
const smallestFieldRad = 2 * arcminute;

/** The best that one reading in this unit can be, standard deviation: equal numbers typed five times are no better. */
export const readingFloorRad = (unitRad: number): number =>
  Math.hypot(seeingRad, unitRad * (unitRad >= smallestFieldRad ? eyeShare.field : eyeShare.division));

/**
 * Size of one unit of a reading of drift, radians: "arcsec"; "division 12" and "pixel 1.9" with their arcseconds; "field 40" with
 * the arcminutes of the true field, of which fractions are read. A bare number is a division. Throws Failure.
 */
export function parseReadingUnit(text: string): number {
  const parts = /^\s*([^\d\s.]*)\s*(\d*\.?\d*)\s*["″'′]?\s*$/.exec(text);
  const [word, size] = [parts?.[1] ?? '', parts?.[2] ?? ''];
  const asked = word || (size === '' ? 'arcsec' : 'division');
  const found = parts && units.find(([pattern]) => pattern.test(asked));
  if (found) {
    const [, unitRad, needsSize] = found;
    if (!needsSize && size === '') return unitRad;
    if (Number(size) > 0) return Number(size) * unitRad;
  }
  throw new Failure(
    exitCode.usage,
    `The unit "${text.trim()}" is not understood.`,
    'Write arcsec, or division 12 or pixel 1.9 with their arcseconds, or field 40 with its arcminutes.',
  );
}
