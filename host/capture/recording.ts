import { open, stat } from 'node:fs/promises';
import { exitCode, Failure } from '../failure.ts';
import { readFault } from '../fileFault.ts';
import { say } from '../output.ts';
import { openCapture } from './captureFile.ts';
import { captureTitle } from './captureFormat.ts';
import { openCsv } from './csv/openCsv.ts';
import type { CsvOptions } from './csv/options.ts';
import { decodeHead, type Head } from './csv/text.ts';
import type { Recording } from './recorded.ts';

const headBytes = 262_144;

/** The first part of a file, as text. */
async function readHead(path: string): Promise<Head> {
  try {
    const entry = await stat(path);
    if (!entry.isFile()) {
      throw new Failure(exitCode.inputOutput, `${path} is not a file.`, 'Save the samples to a file first.');
    }
    const file = await open(path);
    try {
      const { bytesRead, buffer } = await file.read(Buffer.alloc(headBytes), 0, headBytes, 0);
      const head = decodeHead(buffer.subarray(0, bytesRead), bytesRead >= entry.size);
      if (head.text.includes('\0')) {
        throw new Failure(exitCode.badData, `${path} is not a text file.`, 'Name a capture, or a CSV file in UTF-8.');
      }
      return head;
    } finally {
      await file.close();
    }
  } catch (error) {
    if (error instanceof Failure) throw error;
    throw readFault(path, error);
  }
}

/** Opens a capture of ours or any logger's CSV and says what was made of it. Throws Failure when it can be neither. */
export async function openRecording(path: string, csv: CsvOptions = {}): Promise<Recording> {
  const recording = await openQuietly(path, csv);
  for (const note of recording.notes) say(note);
  for (const warning of recording.warnings) say(`Caution: ${warning}`);
  return recording;
}

/** The same without a word. */
export async function openQuietly(path: string, csv: CsvOptions = {}): Promise<Recording> {
  const head = await readHead(path);
  if (head.text.trim() === '') {
    throw new Failure(exitCode.badData, `${path} is empty.`, 'Record it again, or choose another file.');
  }
  return head.text.startsWith(captureTitle) ? openCapture(path, head.text) : openCsv(path, head, csv);
}

const passedOver: Readonly<Record<string, string>> = {
  rowsWithoutReading: 'rows in which a sensor made no reading',
  headersPassedOver: 'rows that repeat the names of the columns',
  linesTorn: 'incomplete line at the end',
};

/** Says what was skipped of a file that has been read to its end. */
export function sayPassedOver({ path, counters }: Recording): void {
  const said = Object.entries(passedOver).flatMap(([name, words]) =>
    counters[name] ? `${counters[name]} ${words}` : [],
  );
  if (said.length > 0) say(`${path}: skipped ${said.join(', ')}.`);
}
