import { open } from 'node:fs/promises';
import { CsvError, parse } from 'csv-parse';
import { exitCode, Failure } from '../../failure.ts';
import type { Dialect } from './dialect.ts';
import { textFrom, type Head } from './text.ts';

const maxRowBytes = 65536;

const delimiterNames: Readonly<Record<string, string>> = {
  ',': 'commas',
  ';': 'semicolons',
  '\t': 'tabs',
  '|': 'bars',
  ' ': 'blanks',
};

export interface Row {
  values: string[];
  /** The file's line, from 1. */
  line: number;
}

/** The rows of a file one by one; csv-parse keeps no more than it must. Throws Failure where they cannot be read. */
export async function* readRows(path: string, head: Head, dialect: Dialect): AsyncGenerator<Row> {
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
      max_record_size: maxRowBytes,
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
export function checkWidth(
  path: string,
  row: Row,
  names: readonly string[],
  { delimiter }: Dialect,
): Failure | undefined {
  const { values } = row;
  if (values.length === names.length) return undefined;
  const needed = names.findLastIndex((name) => name !== '') + 1;
  if (values.length >= needed && values.slice(names.length).every((value) => value === '')) return undefined;
  return new Failure(
    exitCode.badData,
    `${path}, line ${row.line}: another number of columns than the header has.`,
    `Mend or delete that line; columns are parted by ${delimiterNames[delimiter]}${delimiter === ',' ? ', decimals are written with a point' : ''}.`,
  );
}

/** Whether the last line of a file has its end, so that it was written whole. */
export async function endsInLineEnd(path: string): Promise<boolean> {
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
    return new Failure(exitCode.inputOutput, `${path} cannot be read: ${error.message}`, 'Check the disk.', {
      cause: error,
    });
  }
  const line = `${path}, line ${firstLine - 1 + Number(error.lines)}`;
  return error.code === 'CSV_MAX_RECORD_SIZE'
    ? new Failure(exitCode.badData, `${line}: longer than 64 kB.`, 'Check that this is a CSV file.', { cause: error })
    : new Failure(exitCode.badData, `${line}: ${error.message}`, 'Mend or delete that line.', { cause: error });
}
