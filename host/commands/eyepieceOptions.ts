import { arcminute, arcsecond } from '../../calibration/angle.ts';
import { readingSigma } from '../../calibration/nudge/gates.ts';
import type { FieldPlace } from '../../calibration/nudge/starAfter.ts';
import { exitCode, Failure } from '../failure.ts';
import { usualSigmaReadRad, type NudgeEye } from '../steps/starNudge.ts';
import type { FieldUnit } from '../steps/starNudgeWords.ts';

export interface EyepieceOptions {
  field?: string;
  division?: string;
  pixelScale?: string;
}

/** Throws Failure where `text` is not a number in that range. */
export function numberOf(name: string, text: string, least: number, most: number, unit: string): number {
  const value = text.trim() === '' ? NaN : Number(text);
  if (value >= least && value <= most) return value;
  throw new Failure(
    exitCode.usage,
    `The ${name} "${text}" is not a number from ${least} to ${most}.`,
    `Give it in ${unit}.`,
  );
}

export function unitOf({ division, pixelScale }: EyepieceOptions): FieldUnit | undefined {
  if (division !== undefined && pixelScale !== undefined)
    throw new Failure(exitCode.usage, 'The unit is given twice.', 'Give --division or --pixel-scale, not both.');
  const size = (name: string, text: string): number => numberOf(name, text, 0.01, 3600, 'arcseconds') * arcsecond;
  if (division !== undefined) return { name: 'divisions', sizeRad: size('division', division) };
  return pixelScale === undefined ? undefined : { name: 'pixels', sizeRad: size('pixel scale', pixelScale) };
}

export function eyeOf({ field }: EyepieceOptions, unit: FieldUnit | undefined): NudgeEye {
  const fieldRad = field === undefined ? Infinity : numberOf('field', field, 1, 900, 'arcminutes') * arcminute;
  if (unit)
    return {
      fieldRad,
      sigmaReadRad:
        unit.name === 'divisions' ? readingSigma.inDivisions(unit.sizeRad) : readingSigma.inPixels(unit.sizeRad),
    };
  return { fieldRad, sigmaReadRad: field === undefined ? usualSigmaReadRad : readingSigma.inField(fieldRad) };
}

/** A place in the field as `--read` gives it. Throws Failure. */
export function placeRead(text: string, unit: FieldUnit | undefined): FieldPlace {
  const parts = text.split(/[,;]/).map((part) => (part.trim() === '' ? NaN : Number(part)));
  const sizeRad = unit?.sizeRad ?? arcminute;
  if (parts.length === 2 && parts.every(Number.isFinite))
    return { northRad: parts[0] * sizeRad, eastRad: parts[1] * sizeRad };
  throw new Failure(
    exitCode.usage,
    `The place "${text}" is not understood.`,
    'Give north and east of the centre, as --read=11,-4.5; south and west are negative.',
  );
}
