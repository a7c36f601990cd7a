import { basename } from 'node:path';
import { exitCode, Failure } from '../../failure.ts';
import type { RecordedSample, Recording } from '../recording.ts';
import { chooseColumns, type Columns } from './columns.ts';
import { findDialect, isMissing, type Dialect } from './dialect.ts';
import type { CsvOptions } from './options.ts';
import { repeatsField } from './repeats.ts';
import { RowReader, numberIn } from './rowReader.ts';
import { checkWidth, endsInLineEnd, readRows } from './rows.ts';
import type { Head } from './text.ts';
import { namesGiven } from './givenNames.ts';
import { readingNote } from './readingNote.ts';

/** Rows that are looked at together for a column in another unit than it was taken in; the first are looked at before any is given out. */
const blockRows = 256;

interface Shape {
  head: Head;
  dialect: Dialect;
  names: readonly string[];
  columns: Columns;
  hasDecimalCommas: boolean;
  /** The magnetometer's reading stands in several rows until the next. */
  repeats: boolean;
  rateHz: number | undefined;
}

/** Opens a CSV file that begins with `head`. Throws Failure when its columns do not do. */
export function openCsv(path: string, head: Head, options: CsvOptions = {}): Recording {
  const dialect = findDialect(head);
  const { delimiter, rows } = dialect;
  const hasDecimalCommas = delimiter !== ',';
  const numberOf = (cell: string): number => numberIn(cell, hasDecimalCommas);
  const names = namesGiven(path, dialect, options.columns, numberOf);
  const columns = chooseColumns({
    names,
    units: options.columns === undefined ? dialect.units : undefined,
    rows,
    numberOf,
    fileName: basename(path).replace(/\.[^.]*$/, ''),
    wanted: options.sensor,
    where: options.columns === undefined ? `${path}, line ${dialect.headerLine}` : `${path}, --columns`,
  });
  refuseApart(path, columns, rows);
  const counters: Record<string, number> = { samples: 0, columnsPassedOver: columns.others.length };
  const repeats = repeatsField(columns, rows);
  const rateHz = options.rateHz ?? (columns.time === undefined ? dialect.rateHz : undefined);
  const shape: Shape = { head, dialect, names, columns, hasDecimalCommas, repeats, rateHz };
  const sensors = [columns.accelerometer, columns.magnetometer, columns.gyro].filter((sensor) => sensor !== undefined);
  return {
    kind: 'csv',
    path,
    has: {
      accelerometer: columns.accelerometer !== undefined,
      magnetometer: columns.magnetometer !== undefined,
      gyro: columns.gyro !== undefined,
      temperature: columns.temperature !== undefined,
      time: columns.time !== undefined || rateHz !== undefined,
    },
    scaleKnown: sensors.every((sensor) => sensor.scaleKnown),
    rawScale: {
      accelerometer: columns.accelerometer?.scaleKnown === false,
      magnetometer: columns.magnetometer?.scaleKnown === false,
    },
    samples: { [Symbol.asyncIterator]: () => readSamples(path, shape, counters) },
    counters,
    warnings: columns.warnings,
    notes: readingNote(path, columns, { repeats, rateHz }),
  };
}

async function* readSamples(path: string, shape: Shape, counters: Record<string, number>) {
  const { head, dialect, names, columns, repeats, rateHz } = shape;
  const reader = new RowReader(path, columns, shape.hasDecimalCommas);
  const header = dialect.header?.join('\n');
  let block: RecordedSample[] = [];
  let count = 0;
  let lastField: readonly number[] = [];
  const told = { samples: 0, rowsWithoutReading: 0, rowsOfRepeatedField: 0, headersPassedOver: 0, linesTorn: 0 };
  let torn: Failure | undefined;
  for await (const row of readRows(path, head, dialect)) {
    if (torn) throw torn;
    torn = checkWidth(path, row, names, dialect);
    if (torn) continue;
    // A board that starts again writes its header again.
    if (row.values[0] === dialect.header?.[0] && row.values.join('\n') === header) {
      told.headersPassedOver += 1;
      continue;
    }
    const sample = reader.read(row);
    count += 1;
    if (sample === undefined) {
      told.rowsWithoutReading += 1;
      continue;
    }
    if (rateHz !== undefined) sample.timeS = (count - 1) / rateHz;
    if (repeats && sample.fieldNt!.every((value, i) => value === lastField[i])) {
      told.rowsOfRepeatedField += 1;
      continue;
    }
    lastField = sample.fieldNt ?? [];
    block.push(sample);
    if (block.length < blockRows) continue;
    reader.checkUnits();
    told.samples += block.length;
    yield* block;
    block = [];
  }
  // A logger that lost its power leaves half a line.
  if (torn && (await endsInLineEnd(path))) throw torn;
  if (torn) told.linesTorn = 1;
  if (block.length > 0) reader.checkUnits();
  told.samples += block.length;
  yield* block;
  for (const [name, value] of Object.entries(told)) if (name === 'samples' || value > 0) counters[name] = value;
  if (told.samples === 0) {
    throw new Failure(exitCode.badData, `${path} has names of columns but no rows.`, 'Record it again.');
  }
}

/** Throws Failure where the accelerometer and the magnetometer have rows of their own each. */
function refuseApart(
  path: string,
  { accelerometer, magnetometer }: Columns,
  rows: readonly (readonly string[])[],
): void {
  if (!accelerometer || !magnetometer) return;
  const has = (row: readonly string[], at: readonly number[]): boolean => !at.every((i) => isMissing(row[i] ?? ''));
  const ofAccel = rows.filter((row) => has(row, accelerometer.at));
  const both = ofAccel.filter((row) => has(row, magnetometer.at)).length;
  if (both > 0 || ofAccel.length === 0 || !rows.some((row) => has(row, magnetometer.at))) return;
  throw new Failure(
    exitCode.badData,
    `${path}: accelerometer and magnetometer never stand in the same row.`,
    'Write one row for each reading of the magnetometer, with the acceleration of the same instant; or leave one of the two out with --columns.',
  );
}
