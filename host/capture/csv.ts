import { createReadStream } from 'node:fs';
import { CsvError, parse } from 'csv-parse';
import { exitCode, Failure } from '../failure.ts';
import { printable } from '../output.ts';
import { readColumns, type Columns, type Triple } from './columns.ts';
import type { RecordedSample, Recording } from './recording.ts';
import { UnitWatch } from './units.ts';

/** Rows that are looked at together for a column in another unit than its name says; the first are looked at before any is given out. */
const blockRows = 256;
const maxRowBytes = 65536;
/** Decimal numbers as loggers write them. */
const numberShape = /^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d{1,3})?$/;
const nanotesla = 1000;

const delimiterNames: Readonly<Record<string, string>> = { ',': 'commas', ';': 'semicolons', '\t': 'tabs' };

interface Shape {
  columns: Columns;
  delimiter: string;
}

interface Row {
  values: string[];
  line: number;
}

/** Opens a CSV file whose first 64 kB are `head`. Throws Failure when its header does not do. */
export function openCsv(path: string, head: string): Recording {
  const lines = head.split(/\r\n|\n|\r/);
  const at = lines.findIndex((line) => line.trim() !== '' && !line.startsWith('#'));
  if (at < 0 || (lines.length - 1 === at && head.length >= maxRowBytes)) {
    throw new Failure(
      exitCode.badData,
      `${path}: there is no line with the names of the columns in the first 64 kB.`,
      'Begin the file with a line such as ax_g,ay_g,az_g,mx_ut,my_ut,mz_ut.',
    );
  }
  const delimiter = delimiterOf(lines[at]);
  const header = lines[at].split(delimiter).map((name) => name.trim().replace(/^"(.*)"$/, '$1'));
  const columns = readColumns(header, `${path}, line ${at + 1}`);
  const counters = { samples: 0, columnsPassedOver: columns.others.length };
  const shape = { columns, delimiter };
  const sensors = [columns.accelerometer, columns.magnetometer, columns.gyro].filter((sensor) => sensor !== undefined);
  return {
    kind: 'csv',
    path,
    has: {
      accelerometer: columns.accelerometer !== undefined,
      magnetometer: columns.magnetometer !== undefined,
      gyro: columns.gyro !== undefined,
      temperature: columns.temperature !== undefined,
      time: columns.time !== undefined,
    },
    scaleKnown: sensors.every((sensor) => sensor.scaleKnown),
    rawScale: {
      accelerometer: columns.accelerometer?.scaleKnown === false,
      magnetometer: columns.magnetometer?.scaleKnown === false,
    },
    samples: { [Symbol.asyncIterator]: () => readSamples(path, shape, counters) },
    counters,
    warnings: columns.warnings,
  };
}

/** Commas, semicolons or tabs: what parts the header into most columns. */
const delimiterOf = (header: string): string =>
  [',', ';', '\t'].reduce((best, each) => (header.split(each).length > header.split(best).length ? each : best));

async function* readSamples(path: string, shape: Shape, counters: { samples: number }) {
  const rows = readRows(path, shape.delimiter);
  await rows.next();
  const reader = new RowReader(path, shape);
  let block: RecordedSample[] = [];
  counters.samples = 0;
  for await (const row of rows) {
    block.push(reader.read(row));
    if (block.length < blockRows) continue;
    reader.checkUnits();
    counters.samples += block.length;
    yield* block;
    block = [];
  }
  if (block.length > 0) reader.checkUnits();
  counters.samples += block.length;
  yield* block;
  if (counters.samples === 0) {
    throw new Failure(exitCode.badData, `${path} has names of columns but no rows.`, 'Record it again.');
  }
}

/** The rows of a file one by one, the header first; csv-parse keeps no more than it must. */
async function* readRows(path: string, delimiter: string): AsyncGenerator<Row> {
  const file = createReadStream(path);
  const parser = file.pipe(
    parse({
      bom: true,
      delimiter,
      comment: '#',
      comment_no_infix: true,
      skip_empty_lines: true,
      info: true,
      max_record_size: maxRowBytes,
      trim: true,
    }),
  );
  file.on('error', (error) => parser.destroy(error));
  try {
    for await (const { record, info } of parser as AsyncIterable<{ record: string[]; info: { lines: number } }>) {
      yield { values: record, line: info.lines };
    }
  } catch (error) {
    throw fromCsvError(path, delimiter, error as Error);
  } finally {
    file.destroy();
  }
}

function fromCsvError(path: string, delimiter: string, error: Error): Failure {
  if (error instanceof Failure) return error;
  if (!(error instanceof CsvError)) {
    return new Failure(exitCode.inputOutput, `${path} cannot be read: ${error.message}`, 'Check the disk.', {
      cause: error,
    });
  }
  const line = `${path}, line ${String(error.lines)}`;
  switch (error.code) {
    case 'CSV_RECORD_INCONSISTENT_FIELDS_LENGTH':
      return new Failure(
        exitCode.badData,
        `${line}: another number of columns than the header has.`,
        `Mend or delete that line; columns are parted by ${delimiterNames[delimiter]}${delimiter === ',' ? ', decimals are written with a point' : ''}.`,
        { cause: error },
      );
    case 'CSV_MAX_RECORD_SIZE':
      return new Failure(exitCode.badData, `${line}: longer than 64 kB.`, 'Check that this is a CSV file.', {
        cause: error,
      });
    default:
      return new Failure(exitCode.badData, `${line}: ${error.message}`, 'Mend or delete that line.', { cause: error });
  }
}

/** Turns rows into samples and watches their units. */
class RowReader {
  private readonly path: string;
  private readonly columns: Columns;
  /** Where commas do not part the columns, decimals may be written with one. */
  private readonly hasDecimalCommas: boolean;
  private readonly accelWatch: UnitWatch | undefined;
  private readonly fieldWatch: UnitWatch | undefined;
  private firstLine = 0;
  private lastLine = 0;

  constructor(path: string, { columns, delimiter }: Shape) {
    this.path = path;
    this.columns = columns;
    this.hasDecimalCommas = delimiter !== ',';
    const watchOver = (sensor: 'accelerometer' | 'magnetometer'): UnitWatch | undefined => {
      const triple = columns[sensor];
      return triple?.scaleKnown ? new UnitWatch(triple, sensor) : undefined;
    };
    this.accelWatch = watchOver('accelerometer');
    this.fieldWatch = watchOver('magnetometer');
  }

  read(row: Row): RecordedSample {
    const { time, accelerometer, magnetometer, gyro, temperature } = this.columns;
    if (this.firstLine === 0) this.firstLine = row.line;
    this.lastLine = row.line;
    const sample: RecordedSample = {};
    if (time !== undefined) sample.timeS = this.number(row, time, 't_s');
    if (accelerometer !== undefined) sample.accelG = this.vector(row, accelerometer, accelerometer.factor);
    if (magnetometer !== undefined) {
      sample.fieldNt = this.vector(row, magnetometer, magnetometer.scaleKnown ? nanotesla * magnetometer.factor : 1);
    }
    if (gyro !== undefined) sample.rateDps = this.vector(row, gyro, gyro.factor);
    if (temperature !== undefined) sample.temperatureC = this.number(row, temperature, 'temp_c');
    const { accelG, fieldNt } = sample;
    if (accelG) this.accelWatch?.add(...accelG);
    if (fieldNt) this.fieldWatch?.add(fieldNt[0] / nanotesla, fieldNt[1] / nanotesla, fieldNt[2] / nanotesla);
    return sample;
  }

  /** Throws Failure when a column of the rows read since the last call is in another unit than its name says. */
  checkUnits(): void {
    for (const watch of [this.accelWatch, this.fieldWatch]) {
      const verdict = watch?.verdict();
      if (verdict === undefined) continue;
      throw new Failure(
        exitCode.badData,
        `${this.path}, lines ${this.firstLine} to ${this.lastLine}, column ${verdict.column}: ${verdict.what}.`,
        `The numbers look like ${verdict.unit}. Convert the column, or end its name in _raw when the scale is not known.`,
      );
    }
    this.firstLine = 0;
  }

  private vector(row: Row, { at, names }: Triple, factor: number): [number, number, number] {
    return [
      this.number(row, at[0], names[0]) * factor,
      this.number(row, at[1], names[1]) * factor,
      this.number(row, at[2], names[2]) * factor,
    ];
  }

  private number(row: Row, at: number, name: string): number {
    const written = row.values[at];
    const text = this.hasDecimalCommas ? written.replace(',', '.') : written;
    const value = Number(text);
    if (Number.isFinite(value) && numberShape.test(text)) return value;
    const what =
      text === '' ? 'is empty' : `holds "${printable(written.slice(0, 40))}", which is not a finite decimal number`;
    throw new Failure(
      exitCode.badData,
      `${this.path}, line ${row.line}, column ${name} ${what}.`,
      'Mend or delete that line, or leave the column out.',
    );
  }
}
