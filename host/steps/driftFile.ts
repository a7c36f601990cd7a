import { parse } from 'csv-parse/sync';
import { z } from 'zod';
import { csvFaultPlace } from '../capture/csv/csvFault.ts';
import { exitCode, Failure } from '../failure.ts';
import { schemaWords } from '../schemaFault.ts';
import { parseInstant } from '../site/instant.ts';
import { requireStar, type Star } from '../sky/stars.ts';

/** One reading of a watch in the unit of the eyepiece or camera, north positive. */
export interface TypedReading {
  star: Star;
  utc: Date;
  north: number;
}

const number = z
  .string()
  .trim()
  .refine((text) => text !== '' && Number.isFinite(Number(text)), 'is not a number')
  .transform(Number);

const row = z.object({ star: z.string(), utc: z.string().optional(), t_s: number.optional(), north: number });
const mostReadings = 20_000;

/** Readings from a CSV with the columns star, north and either utc or t_s (seconds after `start`). Throws Failure naming the row. */
export function parseDriftReadings(text: string, path: string, start: Date, usualStar?: string): TypedReading[] {
  const whatToDo = 'Write a CSV with the header star,utc,north or star,t_s,north.';
  let records: Record<string, string>[];
  try {
    records = parse(text, { columns: true, trim: true, skip_empty_lines: true, comment: '#', bom: true });
  } catch (error) {
    throw new Failure(exitCode.badData, `${path} is not a valid CSV file: ${csvFaultPlace(error)}.`, whatToDo, {
      cause: error,
    });
  }
  if (records.length === 0 || records.length > mostReadings) {
    throw new Failure(exitCode.badData, `${path} holds ${records.length} readings.`, whatToDo);
  }
  return records.map((record, index) => {
    const where = `${path}, reading ${index + 1}`;
    const checked = row.safeParse({ star: usualStar, ...record });
    if (!checked.success) {
      throw new Failure(exitCode.badData, `${where}: ${schemaWords(checked.error)}`, whatToDo);
    }
    const { star, utc, t_s: seconds, north } = checked.data;
    try {
      if (utc === undefined && seconds === undefined) {
        throw new Failure(exitCode.badData, 'it has neither utc nor t_s.', whatToDo);
      }
      const at = utc === undefined ? new Date(start.getTime() + seconds! * 1000) : parseInstant(utc);
      return { star: requireStar(star), utc: at, north };
    } catch (error) {
      if (!(error instanceof Failure)) throw error;
      throw new Failure(exitCode.badData, `${where}: ${error.message}`, error.whatToDo, { cause: error });
    }
  });
}
