import { open } from 'node:fs/promises';
import { CsvError, parse } from 'csv-parse';
import { exitCode, Failure } from '../../failure.ts';
import { readFault } from '../../fileFault.ts';
import { csvFaultWords } from './csvFault.ts';
import type { RecordedSample } from '../recorded.ts';
import type { Columns } from './columns.ts';
import type { Dialect } from './dialect.ts';
import { RowReader, type Row } from './rowReader.ts';
import { Joiner, type Sharing } from './sharing.ts';
import { longestLine, textFrom, type Head } from './text.ts';

/** Samples that are looked at together for a column in another unit than it was taken in; the first are looked at before any is given out. */
const blockSize = 256;

/** How a file is read. */
export interface Shape {
  head: Head;
  dialect: Dialect;
  names: readonly string[];
  columns: Columns;
  hasDecimalCommas: boolean;
  sharing: Sharing;
  rateHz: number | undefined;
}

/** The samples of a file; `counters` are complete at its end. Throws Failure at the first row that is not sound. */
export async function* readSamples(
  path: string,
  shape: Shape,
  counters: Record<string, number>,
): AsyncGenerator<RecordedSample> {
  const { head, dialect, names, columns, sharing, rateHz } = shape;
  const reader = new RowReader(path, columns, shape.hasDecimalCommas);
  let block: RecordedSample[] = [];
  const joiner = new Joiner(columns, sharing, (sample) => block.push(sample));
  const isHeader = headerAgain(dialect);
  let rows = 0;
  let samples = 0;
  let headersPassedOver = 0;
  let torn: Failure | undefined;
  for await (const row of readRows(path, head, dialect)) {
    if (torn) throw torn;
    torn = checkWidth(path, row, names, dialect);
    if (torn) continue;
    if (isHeader(row)) {
      headersPassedOver += 1;
      continue;
    }
    const sample = reader.read(row);
    if (rateHz !== undefined) sample.timeS = rows / rateHz;
    rows += 1;
    joiner.offer(sample);
    if (block.length < blockSize) continue;
    reader.checkUnits();
    samples += block.length;
    yield* block;
    block = [];
  }
  // A logger that lost its power leaves half a line.
  if (torn && (await endsInLineEnd(path))) throw torn;
  joiner.finish();
  reader.checkUnits();
  samples += block.length;
  yield* block;
  const { rowsWithoutReading, rowsOfRepeatedField } = joiner;
  counters.samples = samples;
  const told = { rowsWithoutReading, rowsOfRepeatedField, headersPassedOver, linesTorn: torn ? 1 : 0 };
  for (const [name, value] of Object.entries(told)) if (value > 0) counters[name] = value;
  if (samples > 0) return;
  throw new Failure(
    exitCode.badData,
    rows === 0
      ? `${path} has names of columns but no rows.`
      : `${path}: none of its ${rows} rows holds a reading of every sensor.`,
    'Record it again.',
  );
}

/** A board that starts again writes its header again. */
function headerAgain({ header }: Dialect): (row: Row) => boolean {
  if (header === undefined) return () => false;
  const all = header.join('\n');
  return ({ values }) => values[0] === header[0] && values.join('\n') === all;
}

const delimiterNames: Readonly<Record<string, string>> = {
  ',': 'commas',
  ';': 'semicolons',
  '\t': 'tabs',
  '|': 'bars',
  ' ': 'blanks',
};

/** The rows of a file one by one; csv-parse keeps no more than it must. Throws Failure where they cannot be read. */
async function* readRows(path: string, head: Head, dialect: Dialect): AsyncGenerator<Row> {
  const { delimiter, rewriting, comment, firstLine, firstAt } = dialect;
  const file = textFrom(path, head, firstAt, rewriting);
  const parser = file.pipe(
    parse({
      bom: true,
      delimiter: rewriting.blanks ? '\t' : delimiter,
      comment,
      comment_no_infix: true,
      skip_empty_lines: true,
      info: true,
      max_record_size: longestLine,
      relax_column_count: true,
      trim: true,
    }),
  );
  file.on('error', (error) => parser.destroy(error));
  try {
    for await (const { record, info } of parser as AsyncIterable<{ record: string[]; info: { lines: number } }>) {
      yield { values: record, line: firstLine - 1 + info.lines };
    }
  } catch (error) {
    throw fromCsvError(path, firstLine, error as Error);
  } finally {
    file.destroy();
  }
}

/** What is wrong with a row that has another number of cells than there are columns; cells without a name may be missing or empty. */
function checkWidth(path: string, row: Row, names: readonly string[], { delimiter }: Dialect): Failure | undefined {
  const { values } = row;
  if (values.length === names.length) return undefined;
  const needed = names.findLastIndex((name) => name !== '') + 1;
  if (values.length >= needed && values.slice(names.length).every((value) => value === '')) return undefined;
  return new Failure(
    exitCode.badData,
    `${path}, line ${row.line}: the number of columns differs from the header.`,
    `Correct or delete that line; columns are separated by ${delimiterNames[delimiter]}${delimiter === ',' ? ', decimals are written with a point' : ''}.`,
  );
}

/** Whether the last line of a file has its end, so that it was written whole. */
async function endsInLineEnd(path: string): Promise<boolean> {
  const file = await open(path);
  try {
    const { size } = await file.stat();
    const { buffer, bytesRead } = await file.read(Buffer.alloc(2), 0, 2, Math.max(0, size - 2));
    return /[\r\n]/.test(buffer.toString('latin1', 0, bytesRead));
  } finally {
    await file.close();
  }
}

function fromCsvError(path: string, firstLine: number, error: Error): Failure {
  if (error instanceof Failure) return error;
  if (!(error instanceof CsvError)) {
    return readFault(path, error);
  }
  const line = `${path}, line ${firstLine - 1 + Number(error.lines)}`;
  return error.code === 'CSV_MAX_RECORD_SIZE'
    ? tooLong(line, error)
    : new Failure(exitCode.badData, `${line}: ${csvFaultWords(error)}.`, 'Correct or delete that line.', {
        cause: error,
      });
}

/** A line longer than any that is read; `where` names it. */
export const tooLong = (where: string, cause?: Error): Failure =>
  new Failure(exitCode.badData, `${where}: longer than 64 kB.`, 'Check that this is a CSV file.', { cause });
