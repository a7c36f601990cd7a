import { maxLineBytes } from '../../firmware-proto/wire.ts';

const newline = 0x0a;
/** Of a line that was named over-long already: its rest is thrown away. */
const isOver = maxLineBytes + 1;

/**
 * Cuts bytes into lines, line feed off, each gathered in the same few bytes of memory: whatever comes, nothing grows. A line is cut
 * after `maxLineBytes`; what follows up to the next line feed is thrown away. A cut line is longer than any sound one, so that
 * the decoder names it over-long.
 */
export class CappedLines {
  private readonly line = new Uint8Array(maxLineBytes);
  private length = 0;
  private onLine: (line: Uint8Array, length: number) => void;

  /** @param onLine is given a line as the first `length` bytes of memory that the next line is written over */
  constructor(onLine: (line: Uint8Array, length: number) => void) {
    this.onLine = onLine;
  }

  push(chunk: Uint8Array): void {
    const { line } = this;
    let { length } = this;
    for (let i = 0; i < chunk.length; i += 1) {
      const byte = chunk[i];
      if (byte === newline) {
        if (length !== isOver) this.onLine(line, length);
        length = 0;
      } else if (length < maxLineBytes) {
        line[length] = byte;
        length += 1;
      } else if (length === maxLineBytes) {
        this.onLine(line, length);
        length = isOver;
      } else {
        const next = chunk.indexOf(newline, i);
        if (next < 0) break;
        i = next - 1;
      }
    }
    this.length = length;
  }

  /** Nothing comes out any more, not even of the chunk that is being cut. */
  close(): void {
    this.onLine = () => {};
  }
}
