import { ReadlineParser } from '@serialport/parser-readline';
import { maxLineBytes } from '../../firmware-proto/wire.ts';

const newline = 0x0a;
const lineEnd = Buffer.from('\n');

/**
 * Cuts bytes into lines (latin1, line end off). The stock readline parser holds a line that never ends without bound, so
 * every line is cut after `maxLineBytes` before it gets there; what follows up to the next line end is thrown away. A cut line
 * comes out longer than any sound one, so that the decoder names it over-long.
 */
export class CappedLines {
  private readonly parser = new ReadlineParser({ delimiter: lineEnd, encoding: 'latin1' });
  /** Bytes of the unfinished line that the parser holds. */
  private pending = 0;
  private skipping = false;

  constructor(onLine: (line: string) => void) {
    this.parser.on('data', onLine);
  }

  push(chunk: Uint8Array): void {
    if (!this.skipping && this.pending + chunk.length <= maxLineBytes) {
      this.parser.write(chunk);
      // by hand: at the few dozen bytes of a line's rest, a call of lastIndexOf costs more
      let last = chunk.length - 1;
      while (last >= 0 && chunk[last] !== newline) last -= 1;
      this.pending = last < 0 ? this.pending + chunk.length : chunk.length - 1 - last;
      return;
    }
    this.pushLong(chunk);
  }

  private pushLong(chunk: Uint8Array): void {
    let passFrom = 0;
    let start = 0;
    while (start < chunk.length) {
      const found = chunk.indexOf(newline, start);
      const end = found < 0 ? chunk.length : found;
      if (this.skipping) {
        this.skipping = found < 0;
        passFrom = Math.min(end + 1, chunk.length);
      } else if (this.pending + end - start > maxLineBytes) {
        this.parser.write(chunk.subarray(passFrom, start + maxLineBytes - this.pending));
        this.parser.write(lineEnd);
        this.skipping = found < 0;
        this.pending = 0;
        passFrom = Math.min(end + 1, chunk.length);
      } else {
        this.pending = found < 0 ? this.pending + end - start : 0;
      }
      start = end + 1;
    }
    if (passFrom < chunk.length) this.parser.write(chunk.subarray(passFrom));
  }

  close(): void {
    this.parser.removeAllListeners('data');
    this.parser.destroy();
  }
}
