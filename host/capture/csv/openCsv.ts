import { basename } from 'node:path';
import { exitCode, Failure } from '../../failure.ts';
import type { Recording } from '../recorded.ts';
import { shown } from './columnName.ts';
import { chooseColumns, type Columns, type Triple } from './columns.ts';
import { findDialect } from './dialect.ts';
import { namesGiven } from './names.ts';
import type { CsvOptions } from './options.ts';
import { numberIn } from './rowReader.ts';
import { readSamples, tooLong, type Shape } from './samples.ts';
import { sharingOf, type Sharing } from './sharing.ts';
import { longLineIn, type Head } from './text.ts';

/** Opens a CSV file that begins with `head`. Throws Failure when its columns do not do. */
export function openCsv(path: string, head: Head, options: CsvOptions = {}): Recording {
  if (/^\s*(\{|\[\s*[{[])/.test(head.text)) {
    throw new Failure(
      exitCode.badData,
      `${path} holds JSON, not a table.`,
      'Write it as CSV: the names of the columns in the first line, one row for each reading.',
    );
  }
  const longLine = longLineIn(head);
  if (longLine !== undefined) throw tooLong(`${path}, line ${longLine}`);
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
    `${path}: accelerometer and magnetometer stand in different rows, and no time shows which belong together.`,
    'Add a column with the time. Or write one row for each reading of the magnetometer, with the acceleration of the same instant. Or leave out one of the two with --columns.',
  );
}

/** More names are counted only. */
const mostNamed = 6;

const words = { accelerometer: 'acceleration', magnetometer: 'field', gyro: 'rates' } as const;
const isOwn = ({ names }: Triple): boolean => /^[amg][xyz]_[a-z0-9]+$/i.test(names[0].trim());

/** What was taken for what, in words, where the names are not this program's own: one sentence or none. */
function readingNote(
  path: string,
  columns: Columns,
  { sharing, rateHz }: { sharing: Sharing; rateHz: number | undefined },
): string[] {
  const said: string[] = [];
  for (const sensor of ['accelerometer', 'magnetometer', 'gyro'] as const) {
    const triple = columns[sensor];
    if (triple === undefined || isOwn(triple)) continue;
    const [x, y, z] = triple.names.map((name) => shown(name));
    said.push(`${words[sensor]} "${x}", "${y}", "${z}" in ${triple.unit}${triple.isGuess ? ' (by its size)' : ''}`);
  }
  const { time } = columns;
  if (rateHz !== undefined) said.push(`${rateHz} rows a second`);
  else if (time !== undefined && time.name.trim().toLowerCase() !== 't_s') {
    said.push(`time "${shown(time.name)}" in ${time.unit}${time.isGuess ? ' (by its steps)' : ''}`);
  }
  if (sharing === 'repeated') said.push('skipped rows that only repeat a reading of the slower magnetometer');
  if (sharing === 'apart') {
    said.push('the acceleration at each reading of the magnetometer, on the line between its neighbours in time');
  }
  const others = columns.others.slice(0, mostNamed).map((name) => `"${shown(name)}"`);
  const more = columns.others.length - others.length;
  const rest = others.length === 0 ? '' : `; skipped: ${others.join(', ')}${more > 0 ? ` and ${more} more` : ''}`;
  const sentence = said.length === 0 ? [] : [`${path}: taken as ${said.join('; ')}${rest}.`];
  const counts = (['accelerometer', 'magnetometer'] as const).filter(
    (sensor) => columns[sensor]?.isGuess && !columns[sensor].scaleKnown,
  );
  if (counts.length > 0) {
    sentence.push(
      `The ${counts.join(' and the ')} ${counts.length > 1 ? 'hold' : 'holds'} counts of unknown scale: a tumble calibrates them, but cannot check their strength; --columns names a unit.`,
    );
  }
  return sentence;
}
