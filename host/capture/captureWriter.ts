import { createWriteStream, type WriteStream } from 'node:fs';
import type { AxisModel } from '../../calibration/axisModel.ts';
import { encodeHello, type Hello } from '../../firmware-proto/wire.ts';
import { whyNotWritten, writeFault } from '../fileFault.ts';
import { exitCode, Failure } from '../failure.ts';
import type { Site } from '../site/site.ts';
import { toSavedSite } from '../store/site.ts';
import { toCapturedModel } from './capturedModel.ts';
import { captureTitle } from './captureFormat.ts';

/** What a stalled disk may leave waiting in memory, in bytes; about two minutes at 100 samples a second. */
const mostWaitingBytes = 1_000_000;

const closeLimitMs = 400;

export interface CaptureHead {
  source: string;
  hello?: Hello;
  site?: Site;
  startedUtcMs: number;
}

/**
 * Writes a capture while the needles run. Nothing it does can stop them: a full or slow disk ends the capture, keeps what was
 * written, and is said once through `onTrouble`.
 */
export class CaptureWriter {
  lines = 0;
  /** Lines that were not kept, because the disk is full or too slow. */
  linesNotKept = 0;
  private readonly path: string;
  private readonly stream: WriteStream;
  private readonly onTrouble: (words: string) => void;
  private hasFailed = false;
  private isSlow = false;
  private firstArrivalS: number | undefined;

  /** Over an open stream; `create` makes the file. */
  constructor(path: string, stream: WriteStream, onTrouble: (words: string) => void) {
    this.path = path;
    this.stream = stream;
    this.onTrouble = onTrouble;
    stream.on('error', (error) => this.fail(whyNotWritten(error)));
  }

  /** Begins a new file; throws Failure when it exists or cannot be made. */
  static async create(path: string, head: CaptureHead, onTrouble: (words: string) => void): Promise<CaptureWriter> {
    const stream = createWriteStream(path, { flags: 'wx' });
    await new Promise<void>((resolve, reject) => {
      stream.once('open', () => resolve());
      stream.once('error', (error: NodeJS.ErrnoException) =>
        reject(
          error.code === 'EEXIST'
            ? new Failure(exitCode.inputOutput, `${path} exists already.`, 'Name another file; nothing is overwritten.')
            : writeFault(path, error),
        ),
      );
    });
    const writer = new CaptureWriter(path, stream, onTrouble);
    writer.put(captureTitle);
    writer.put(`# started ${new Date(head.startedUtcMs).toISOString()}`);
    writer.put(`# source ${head.source.replaceAll(/\s+/g, ' ')}`);
    if (head.site !== undefined) writer.put(`# site ${JSON.stringify(toSavedSite(head.site))}`);
    if (head.hello !== undefined) writer.put(`# hello ${encodeHello(head.hello).trimEnd()}`);
    return writer;
  }

  /** Recording stopped before it was told to. */
  get isCutOff(): boolean {
    return this.hasFailed;
  }

  /** Keeps one sound line of the board. Never throws, never waits. */
  keep({ line, arrivalS }: { line: string; arrivalS: number }): void {
    this.firstArrivalS ??= arrivalS;
    if (this.put(`${(arrivalS - this.firstArrivalS).toFixed(6)} ${line.trimEnd()}`)) this.lines += 1;
    else this.linesNotKept += 1;
  }

  /** Keeps the axis model that is in use, so that a replay shows the same needles. */
  keepModel(model: AxisModel): void {
    this.put(`# model ${JSON.stringify(toCapturedModel(model))}`);
  }

  /** Marks that what follows came through a newly opened port. */
  portOpened(): void {
    this.put('# port opened');
  }

  /** Ends when all is on the disk, or when the disk has failed or hangs. */
  async close(): Promise<void> {
    if (this.stream.destroyed) return;
    await new Promise<void>((resolve) => {
      const limit = setTimeout(() => {
        this.fail('the disk hangs');
        resolve();
      }, closeLimitMs);
      this.stream.once('close', () => {
        clearTimeout(limit);
        resolve();
      });
      this.stream.end();
    });
  }

  private put(text: string): boolean {
    if (this.hasFailed) return false;
    if (this.stream.writableLength > mostWaitingBytes) {
      if (!this.isSlow)
        this.onTrouble(`${this.path}: the disk is too slow; lines are missing from the capture. The needles go on.`);
      this.isSlow = true;
      return false;
    }
    this.isSlow = false;
    this.stream.write(`${text}\n`);
    return true;
  }

  private fail(why: string): void {
    if (this.hasFailed) return;
    this.hasFailed = true;
    this.onTrouble(`${this.path}: recording stopped (${why}); what was written is kept. The needles go on.`);
  }
}
