import { readFile } from 'node:fs/promises';
import { parse } from 'csv-parse/sync';
import { z } from 'zod';
import { arcminute, degree } from '../../calibration/angle.ts';
import { roughPrior, sigmaOfLevel, usualSigmas } from '../../calibration/sight/sightPrior.ts';
import { levelOf, rollOf, type Side } from '../../calibration/sight/sightModel.ts';
import { norm, normalise, vector3, type Vector3 } from '../../calibration/vector.ts';
import { readFault } from '../fileFault.ts';
import { csvFaultPlace } from '../capture/csv/csvFault.ts';
import { exitCode, Failure } from '../failure.ts';
import { schemaWords } from '../schemaFault.ts';
import { parseInstant } from '../site/instant.ts';
import { requireStar } from '../sky/stars.ts';
import type { TimedSight } from './sights.ts';

export const sightsHeader = 'utc,star,side,roll_deg,axis_altitude_deg';

const number = z
  .string()
  .trim()
  .refine((text) => text !== '' && Number.isFinite(Number(text)), 'is not a number')
  .transform(Number);

const numberOrNothing = z
  .literal('')
  .transform(() => undefined)
  .or(number)
  .optional();

const row = z.object({
  utc: z.string(),
  star: z.string(),
  side: z.string(),
  roll_deg: number.optional(),
  /** Of the axis, as gravity showed it. */
  axis_altitude_deg: numberOrNothing,
  ax_g: number.optional(),
  ay_g: number.optional(),
  az_g: number.optional(),
});

const largestFile = 1000;

/** A file does not tell of what make the board was: a tumbled one of ordinary make (common practice). */
const levelRead = (altitudeRad: number): TimedSight['level'] => ({
  altitudeRad,
  sigmaRad: sigmaOfLevel(usualSigmas, 1 * arcminute, roughPrior.sigmaRoundRad),
});

/** The first letter decides: west or east. Throws Failure. */
export function parseSide(text: string): Side {
  const letter = text.trim().toLowerCase()[0];
  if (letter === 'w') return 'west';
  if (letter === 'e') return 'east';
  throw new Failure(
    exitCode.usage,
    `"${text}" is not a side of the mount.`,
    'Write west or east: where the tube is when it looks at the meridian.',
  );
}

/** "0.99,0.02,-0.1" as a unit vector. Throws Failure. */
export function parseAxis(text: string): Vector3 {
  const parts = text.split(',').map(Number);
  const axis = vector3(parts);
  if (parts.length === 3 && parts.every(Number.isFinite) && Math.abs(norm(axis) - 1) < 0.01) return normalise(axis);
  throw new Failure(
    exitCode.usage,
    `"${text}" is not a unit vector.`,
    'Give the three numbers of axisInBoard from `lodepole swing --json`.',
  );
}

/** "0.1,-0.5,0.86", a reading at rest of about 1 g. Throws Failure. */
export function parseGravity(text: string): Vector3 {
  const parts = text.split(',').map(Number);
  const gravity = vector3(parts);
  if (parts.length === 3 && parts.every(Number.isFinite) && Math.abs(norm(gravity) - 1) < 0.1) return gravity;
  throw new Failure(exitCode.usage, `"${text}" is not gravity in g.`, 'Give three numbers, as in 0.1,-0.5,0.86');
}

/**
 * Sights from a CSV with the columns utc, star, side and either roll_deg or ax_g, ay_g, az_g (then `axisInBoard` is
 * needed). Throws Failure naming the row.
 */
export async function readSights(path: string, latitudeRad: number, axisInBoard?: Vector3): Promise<TimedSight[]> {
  let text: string;
  try {
    text = await readFile(path, 'utf8');
  } catch (error) {
    throw readFault(path, error);
  }
  return parseSights(text, path, latitudeRad, axisInBoard);
}

export function parseSights(text: string, path: string, latitudeRad: number, axisInBoard?: Vector3): TimedSight[] {
  const whatToDo = `Write a CSV with the header utc,star,side,roll_deg, or with ax_g,ay_g,az_g in the place of roll_deg.`;
  let records: unknown[];
  try {
    records = parse(text, { columns: true, trim: true, skip_empty_lines: true, comment: '#', bom: true });
  } catch (error) {
    throw new Failure(exitCode.badData, `${path} is not a valid CSV file: ${csvFaultPlace(error)}.`, whatToDo, {
      cause: error,
    });
  }
  if (records.length === 0 || records.length > largestFile) {
    throw new Failure(exitCode.badData, `${path} holds ${records.length} sights.`, whatToDo);
  }
  return records.map((record, index) => {
    const where = `${path}, sight ${index + 1}`;
    const checked = row.safeParse(record);
    if (!checked.success) {
      throw new Failure(exitCode.badData, `${where}: ${schemaWords(checked.error)}`, whatToDo);
    }
    const { utc, star, side, roll_deg: rollDeg, axis_altitude_deg: axisDeg, ax_g: x, ay_g: y, az_g: z_ } = checked.data;
    try {
      const timed = { utc: parseInstant(utc), star: requireStar(star), side: parseSide(side) };
      if (rollDeg !== undefined) {
        const level = axisDeg === undefined ? undefined : levelRead(axisDeg * degree);
        return { ...timed, rollRad: rollDeg * degree, ...(level && { level }) };
      }
      if (x === undefined || y === undefined || z_ === undefined) {
        throw new Failure(exitCode.badData, 'it has neither roll_deg nor ax_g, ay_g, az_g.', whatToDo);
      }
      if (!axisInBoard) {
        throw new Failure(
          exitCode.usage,
          'gravity alone does not give the roll: the polar axis in the board is missing.',
          'Give --axis with axisInBoard from `lodepole swing --json`.',
        );
      }
      const upG: Vector3 = [x, y, z_];
      return {
        ...timed,
        rollRad: rollOf(upG, axisInBoard, latitudeRad),
        level: levelRead(levelOf(upG, axisInBoard)),
      };
    } catch (error) {
      if (!(error instanceof Failure)) throw error;
      throw new Failure(exitCode.badData, `${where}: ${error.message}`, error.whatToDo, { cause: error });
    }
  });
}

export const sightRow = ({ utc, star, side, rollRad, level }: TimedSight): string =>
  `${utc.toISOString()},${star.name},${side},${(rollRad / degree).toFixed(5)},${level ? (level.altitudeRad / degree).toFixed(5) : ''}`;
