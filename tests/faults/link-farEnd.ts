import { spawn, type ChildProcess } from 'node:child_process';
import { once } from 'node:events';
import { existsSync } from 'node:fs';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { encodeHello, encodeSample, type Hello } from '../../firmware-proto/wire.ts';

export const testHello: Hello = {
  kind: 'hello',
  protocol: 1,
  firmware: '0.1.0',
  boardId: '3F2A91C4',
  accelerometer: { name: 'LSM303AGR', id: 0x33, orientation: '+X+Y+Z', gPerCount: 0.00098 },
  magnetometer: { name: 'LSM303AGR', id: 0x40, orientation: '+X+Y+Z', ntPerCount: 150 },
  temperature: { cPerCount: 0.00390625, cAtZero: 25 },
  sampleHz: 100,
};

export const testSample = (n: number, more: { seq?: number; micros?: number } = {}): string =>
  encodeSample({
    seq: more.seq ?? n % 65536,
    micros: more.micros ?? (n * 10000) % 4294967296,
    accel: [12, -7, 1018],
    field: [150 + (n % 3), -20, 280],
    rate: undefined,
    temperature: -64,
  });

/** Writes 100 samples a second and answers hello; what the board of a test says otherwise is up to the test. */
export interface Voice {
  /** Called every 10 ms from power-up, counting from 0; returns bytes as latin1 text. */
  onTick(tick: number): string;
  /** Called with what the host wrote. */
  onRequest(text: string): string;
}

export const soundVoice = (): Voice => ({
  onTick: (tick) => testSample(tick),
  onRequest: (text) => (text.includes('hello') ? encodeHello(testHello) : ''),
});

/**
 * The far end of a pseudo-terminal, so that the real serial binding is used: `socat PTY,link=...,raw,echo=0 STDIO`, fed from
 * here. Plugging and pulling make and kill the terminal.
 */
export class FarEnd {
  readonly path: string;
  voice: Voice = soundVoice();
  private readonly folder: string;
  private socat: ChildProcess | undefined;
  private timer: NodeJS.Timeout | undefined;

  private constructor(folder: string) {
    this.folder = folder;
    this.path = join(folder, 'board');
  }

  static async create(): Promise<FarEnd> {
    return new FarEnd(await mkdtemp(join(tmpdir(), 'lodepole-link-')));
  }

  /** Resolves when the port is there. The board powers up anew. */
  async plug(): Promise<void> {
    await rm(this.path, { force: true });
    const socat = spawn('socat', [`PTY,link=${this.path},raw,echo=0`, 'STDIO'], { stdio: ['pipe', 'pipe', 'ignore'] });
    socat.stdin.on('error', () => {});
    socat.stdout.on('data', (bytes: Buffer) => {
      const answer = this.voice.onRequest(bytes.toString('latin1'));
      if (answer !== '') socat.stdin.write(answer, 'latin1');
    });
    this.socat = socat;
    const deadline = performance.now() + 20_000;
    while (!existsSync(this.path)) {
      if (performance.now() > deadline) throw new Error(`socat made no ${this.path} within 20 s`);
      await new Promise((resolve) => setTimeout(resolve, 2));
    }
    const start = performance.now();
    let tick = 0;
    this.timer = setInterval(() => {
      const due = Math.floor((performance.now() - start) / 10);
      for (; tick < due; tick += 1) socat.stdin.write(this.voice.onTick(tick), 'latin1');
    }, 10);
  }

  /** Sends bytes out of turn. */
  say(text: string | Uint8Array): void {
    this.socat?.stdin?.write(text);
  }

  /** The far end stops reading, so that what the host writes stays pending. */
  freeze(): void {
    this.socat?.kill('SIGSTOP');
  }

  async pull(): Promise<void> {
    clearInterval(this.timer);
    const { socat } = this;
    this.socat = undefined;
    if (socat === undefined || socat.exitCode !== null || socat.signalCode !== null) return;
    const gone = once(socat, 'exit');
    // the name first: left behind, it would lead to whatever terminal gets the same number next
    await rm(this.path, { force: true });
    socat.kill('SIGKILL');
    await gone;
    // A killed socat leaves its link behind, and another program may be given the terminal that it points to.
    await rm(this.path, { force: true });
  }

  async remove(): Promise<void> {
    await this.pull();
    await rm(this.folder, { recursive: true, force: true });
  }
}

/** Waits until `holds` is true; throws after `limitS`. Returns the seconds it took. */
export async function until(what: string, holds: () => boolean, limitS = 60): Promise<number> {
  const start = performance.now();
  while (!holds()) {
    if (performance.now() - start > limitS * 1000) throw new Error(`${what}: not within ${limitS} s`);
    await new Promise((resolve) => setTimeout(resolve, 5));
  }
  return (performance.now() - start) / 1000;
}
