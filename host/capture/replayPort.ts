import type { BytePort, PortCandidate } from '../link/bytePort.ts';
import { captureLines } from './captureFile.ts';
import { csvAsWire } from './csvAsWire.ts';
import type { CsvOptions } from './csv/options.ts';
import { openQuietly } from './recording.ts';

/** Lines handed over at once when the file is read as fast as it can be. */
const fastBatch = 64;

const pause = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms));
const breathe = (): Promise<void> => new Promise((resolve) => setImmediate(resolve));

/**
 * A recording as one more kind of port: the bytes that the board sent, in their own time or as fast as they can be taken.
 * The port closes at the end of the file. A fault in the file is told through `onFault`.
 */
export function replayCandidate(
  path: string,
  fast: boolean,
  onFault: (error: unknown) => void,
  csv: CsvOptions = {},
): PortCandidate {
  return {
    name: path,
    open: async () => {
      const recording = await openQuietly(path, csv);
      const lines = recording.kind === 'capture' ? captureLines(path) : csvAsWire(recording);
      return new ReplayPort(lines, fast, onFault);
    },
  };
}

class ReplayPort implements BytePort {
  private readonly lines: AsyncIterable<{ arrivalS: number; line: string } | 'portOpened'>;
  private readonly fast: boolean;
  private readonly onFault: (error: unknown) => void;
  private closeListener: (reason: string) => void = () => {};
  private isClosed = false;

  constructor(lines: ReplayPort['lines'], fast: boolean, onFault: (error: unknown) => void) {
    this.lines = lines;
    this.fast = fast;
    this.onFault = onFault;
  }

  onBytes(listener: (bytes: Uint8Array) => void): void {
    void this.play(listener);
  }

  onClose(listener: (reason: string) => void): void {
    this.closeListener = listener;
  }

  write(): void {}

  async close(): Promise<void> {
    this.isClosed = true;
  }

  private async play(listener: (bytes: Uint8Array) => void): Promise<void> {
    const startS = performance.now() / 1000;
    let firstS: number | undefined;
    let waiting = '';
    let count = 0;
    const handOver = (): void => {
      if (waiting !== '') listener(Buffer.from(waiting, 'latin1'));
      waiting = '';
    };
    try {
      await breathe();
      for await (const next of this.lines) {
        if (this.isClosed) return;
        if (next === 'portOpened') continue;
        const { arrivalS, line } = next;
        if (!this.fast && !line.startsWith('H ')) {
          firstS ??= arrivalS;
          const aheadMs = (arrivalS - firstS - (performance.now() / 1000 - startS)) * 1000;
          if (aheadMs > 1) {
            handOver();
            await pause(aheadMs);
          }
        }
        waiting += `${line}\r\n`;
        count += 1;
        // Whoever chooses a model by the hello does so before the next sample.
        if (count % fastBatch === 0 || line.startsWith('H ')) {
          handOver();
          await breathe();
        }
      }
      handOver();
    } catch (error) {
      this.onFault(error);
    }
    if (!this.isClosed) this.closeListener('end of the recording');
  }
}
