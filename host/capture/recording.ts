import { open, stat } from 'node:fs/promises';
import type { AxisModel } from '../../calibration/axisModel.ts';
import type { Vector3 } from '../../calibration/vector.ts';
import type { Hello } from '../../firmware-proto/wire.ts';
import { exitCode, Failure } from '../failure.ts';
import { readFault } from '../fileFault.ts';
import type { Site } from '../site/site.ts';
import { openCapture } from './captureFile.ts';
import { captureTitle } from './captureFormat.ts';
import { openCsv } from './csv.ts';

/** One sample of a file, in the board's frame (capture) or the file's own axes (CSV). What the file lacks is undefined. */
export interface RecordedSample {
  /** Seconds on the file's own clock. */
  timeS?: number;
  /** g, or counts when the scale is unknown. */
  accelG?: Vector3;
  /** nT, or counts when the scale is unknown. */
  fieldNt?: Vector3;
  /** Degrees per second, or counts when the scale is unknown. */
  rateDps?: Vector3;
  temperatureC?: number;
}

/** A file of samples, read as a stream: memory stays bounded however long the file is. */
export interface Recording {
  readonly kind: 'capture' | 'csv';
  readonly path: string;
  readonly hello?: Hello;
  readonly site?: Site;
  /** The model that the needles rested on when it was recorded. */
  readonly axisModel?: AxisModel;
  /** When it was begun, where the file says so. */
  readonly startedUtcMs?: number;
  readonly has: { accelerometer: boolean; magnetometer: boolean; gyro: boolean; temperature: boolean; time: boolean };
  /** False where any sensor has `_raw` columns: counts of unknown scale. */
  readonly scaleKnown: boolean;
  /** The sensors that have them. */
  readonly rawScale: { accelerometer: boolean; magnetometer: boolean };
  /** Throws Failure at the first row of a CSV file that is not sound, naming line, column and what to do. */
  readonly samples: AsyncIterable<RecordedSample>;
  /** Lines by name, complete once `samples` has ended: samples, and what was passed over and why. */
  readonly counters: Readonly<Record<string, number>>;
}

const headBytes = 65536;

/** The first 64 kB of a file, as text. */
async function readHead(path: string): Promise<string> {
  try {
    if (!(await stat(path)).isFile()) {
      throw new Failure(exitCode.inputOutput, `${path} is not a file.`, 'Save the samples to a file first.');
    }
    const file = await open(path);
    try {
      const { bytesRead, buffer } = await file.read(Buffer.alloc(headBytes), 0, headBytes, 0);
      return buffer.toString('utf8', 0, bytesRead).replace(/^\uFEFF/, '');
    } finally {
      await file.close();
    }
  } catch (error) {
    if (error instanceof Failure) throw error;
    throw readFault(path, error);
  }
}

/** Opens a capture of ours or any logger's CSV. Throws Failure when it can be neither. */
export async function openRecording(path: string): Promise<Recording> {
  const head = await readHead(path);
  if (head.trim() === '') {
    throw new Failure(exitCode.badData, `${path} is empty.`, 'Record it again, or choose another file.');
  }
  return head.startsWith(captureTitle) ? openCapture(path, head) : openCsv(path, head);
}
