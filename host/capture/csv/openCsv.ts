import { basename } from 'node:path';
import { exitCode, Failure } from '../../failure.ts';
import type { Recording } from '../recording.ts';
import { chooseColumns } from './columns.ts';
import { findDialect } from './dialect.ts';
import type { CsvOptions } from './options.ts';
import { numberIn } from './rowReader.ts';
import { readSamples, type Shape } from './samples.ts';
import { sharingOf } from './sharing.ts';
import type { Head } from './text.ts';
import { namesGiven } from './givenNames.ts';
import { readingNote } from './readingNote.ts';

/** Opens a CSV file that begins with `head`. Throws Failure when its columns do not do. */
export function openCsv(path: string, head: Head, options: CsvOptions = {}): Recording {
  if (/^\s*(\{|\[\s*[{[])/.test(head.text)) {
    throw new Failure(
      exitCode.badData,
      `${path} holds JSON, not a table.`,
      'Write it as CSV: the names of the columns in the first line, one row for each reading.',
    );
  }
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
  const counters: Record<string, number> = { samples: 0, columnsPassedOver: columns.others.length };
  const sharing = sharingOf(columns, rows);
  const rateHz = options.rateHz ?? (columns.time === undefined ? dialect.rateHz : undefined);
  if (sharing === 'apart') {
    if (columns.time === undefined) refuseUntimed(path);
    // A rate belongs to the row that it stands in.
    columns.gyro = undefined;
  }
  const shape: Shape = { head, dialect, names, columns, hasDecimalCommas, sharing, rateHz };
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
    notes: readingNote(path, columns, { sharing, rateHz }),
  };
}

/** Throws Failure where the sensors have rows of their own each, and nothing tells which belong together. */
function refuseUntimed(path: string): never {
  throw new Failure(
    exitCode.badData,
    `${path}: accelerometer and magnetometer stand in different rows, and no time tells which belong together.`,
    'Write a column with the time, or one row for each reading of the magnetometer with the acceleration of the same instant; or leave one of the two out with --columns.',
  );
}
