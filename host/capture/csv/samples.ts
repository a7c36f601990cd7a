import { exitCode, Failure } from '../../failure.ts';
import type { RecordedSample } from '../recording.ts';
import type { Columns } from './columns.ts';
import type { Dialect } from './dialect.ts';
import { Joiner } from './joiner.ts';
import { RowReader } from './rowReader.ts';
import { checkWidth, endsInLineEnd, readRows, type Row } from './rows.ts';
import type { Sharing } from './sharing.ts';
import type { Head } from './text.ts';

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
      : `${path}: in none of its ${rows} rows did all sensors make a reading.`,
    'Record it again.',
  );
}

/** A board that starts again writes its header again. */
function headerAgain({ header }: Dialect): (row: Row) => boolean {
  if (header === undefined) return () => false;
  const all = header.join('\n');
  return ({ values }) => values[0] === header[0] && values.join('\n') === all;
}
