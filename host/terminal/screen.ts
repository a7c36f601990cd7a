import type { ReadStream, WriteStream } from 'node:tty';

const csi = '\u001b[';
const bell = '\u0007';
const enter = `${csi}?1049h${csi}?25l${csi}?7l`;
/** Cleared first: a terminal whose window was resized meanwhile may not give back every row by itself. */
const leave = `${csi}0m${csi}2J${csi}H${csi}?7h${csi}?25h${csi}?1049l`;

/** The whole window: entered once, drawn line by line where something changed, and always given back as it was. */
export class Screen {
  private readonly output: WriteStream;
  private readonly input: ReadStream | undefined;
  private drawn: string[] = [];
  private isOpen = false;
  private readonly onData = (data: Buffer): void => this.onKeys(data.toString('latin1'));
  private readonly onResize = (): void => {
    this.drawn = [];
    this.resized();
  };
  private readonly onExit = (): void => this.close();
  private readonly onKeys: (keys: string) => void;
  private readonly resized: () => void;

  constructor(
    output: WriteStream,
    input: ReadStream | undefined,
    listeners: { onKeys: (keys: string) => void; onResize: () => void },
  ) {
    this.output = output;
    this.input = input?.isTTY ? input : undefined;
    this.onKeys = listeners.onKeys;
    this.resized = listeners.onResize;
  }

  get columns(): number {
    return this.output.columns || 80;
  }

  get rows(): number {
    return this.output.rows || 24;
  }

  open(): void {
    this.isOpen = true;
    this.output.write(enter);
    this.output.on('resize', this.onResize);
    process.once('exit', this.onExit);
    if (this.input) {
      this.input.setRawMode(true);
      this.input.on('data', this.onData);
      this.input.resume();
    }
  }

  /** Writes only the lines that differ from what is there. */
  draw(lines: readonly string[], ground: string): void {
    if (!this.isOpen) return;
    let text = this.drawn.length === 0 ? `${ground}${csi}2J` : '';
    lines.forEach((line, row) => {
      if (line !== this.drawn[row]) text += `${csi}${row + 1};1H${line}`;
    });
    this.drawn = [...lines];
    if (text !== '') this.output.write(text);
  }

  ring(): void {
    if (this.isOpen) this.output.write(bell);
  }

  close(): void {
    if (!this.isOpen) return;
    this.isOpen = false;
    process.off('exit', this.onExit);
    this.output.off('resize', this.onResize);
    if (this.input) {
      this.input.off('data', this.onData);
      this.input.setRawMode(false);
      this.input.pause();
    }
    this.output.write(leave);
  }
}
