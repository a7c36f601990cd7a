import { arcminute, arcsecond } from '../../calibration/angle.ts';
import { exitCode, Failure } from '../failure.ts';

const units: readonly [RegExp, number, boolean][] = [
  [/^(?:arcsec(?:onds?)?|″|")$/i, arcsecond, false],
  [/^(?:division|div)s?$/i, arcsecond, true],
  [/^(?:pixel|px)s?$/i, arcsecond, true],
  [/^field$/i, arcminute, true],
];

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
