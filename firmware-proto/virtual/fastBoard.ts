import { readFileSync } from 'node:fs';
import { encodeAcknowledged, encodeHello, encodeRefused, encodeSample, sampleRatesHz, type Hello } from '../wire.ts';
import { boardNumber } from './boardNumber.ts';
import type { SensorMake } from './chip.ts';
import { SteppedBoard } from './steppedBoard.ts';
import type { VirtualWorld } from './world.ts';

/** The version of the images is that of the package. */
const firmwareVersion = (
  JSON.parse(readFileSync(new URL('../../package.json', import.meta.url), 'utf8')) as { version: string }
).version;
const longestRequest = 32;

/** A virtual board without the processor: the same protocol straight from the world, in real time or stepped. */
export class FastBoard extends SteppedBoard {
  readonly world: VirtualWorld;
  readonly hello: Omit<Hello, 'kind'>;
  private readonly firstS: number;
  private sequence = 0;
  private sampleHz: number;
  private nextSampleS: number;
  private nextHelloS: number | undefined;
  private heard = '';

  constructor(world: VirtualWorld) {
    super({ tickMs: 10, longestCatchUpS: 0.5 });
    this.world = world;
    this.hello = helloOf(world);
    this.sampleHz = world.make.hz;
    this.firstS = world.timeS;
    this.nextHelloS = this.firstS;
    this.nextSampleS = this.firstS + 1 / this.sampleHz;
  }

  get nowS(): number {
    return this.world.timeS;
  }

  /** Requests, ended by LF; anything else is passed over without an answer. */
  write(bytes: Uint8Array): void {
    this.heard += Buffer.from(bytes).toString('latin1');
    const lines = this.heard.split('\n');
    this.heard = (lines.pop() ?? '').slice(0, longestRequest);
    for (const line of lines) this.answer(line.replace(/\r$/, ''));
  }

  stepTo(worldS: number): void {
    let text = '';
    while (this.nextSampleS <= worldS) {
      if (this.nextHelloS !== undefined && this.nextHelloS <= this.nextSampleS) {
        text += encodeHello(this.hello);
        this.nextHelloS += 1;
      }
      text += this.sampleLine(this.nextSampleS);
      this.nextSampleS += 1 / this.sampleHz;
    }
    this.world.advanceTo(worldS);
    this.say(text);
  }

  private sampleLine(worldS: number): string {
    const { accel, field, rate, temperature } = this.world.countsAt(worldS);
    const micros = Math.round((worldS - this.firstS) * 1e6) % 2 ** 32;
    const line = encodeSample({ seq: this.sequence, micros, accel, field, rate, temperature });
    this.sequence = (this.sequence + 1) % 65536;
    return line;
  }

  private answer(request: string): void {
    const [word, argument, ...rest] = request.split(' ');
    if (word === 'hello' && argument === undefined) {
      this.say(encodeHello({ ...this.hello, sampleHz: this.sampleHz }));
    } else if (word === 'rate' && argument !== undefined && /^-?\d+$/.test(argument) && rest.length === 0) {
      const hz = Number(argument);
      const known = (sampleRatesHz as readonly number[]).includes(hz) && hz <= this.world.make.hz;
      if (known) this.sampleHz = hz;
      this.say(known ? encodeAcknowledged({ request: 'rate' }) : encodeRefused({ request: 'rate', reason: 'range' }));
    } else if (word === 'selftest' && argument === undefined) {
      this.say(encodeRefused({ request: 'selftest', reason: 'no-chips' }));
    } else return;
    this.nextHelloS = undefined;
  }

  private say(text: string): void {
    this.send(Buffer.from(text, 'latin1'));
  }
}

/** As the image says it. */
function helloOf(world: VirtualWorld): Omit<Hello, 'kind'> {
  const { make } = world;
  const chip = ({ part, identity, orientation }: SensorMake) => ({
    name: part,
    id: Number.parseInt(identity, 16),
    orientation,
  });
  return {
    protocol: 1,
    firmware: firmwareVersion,
    boardId: boardNumber(world).toString(16).toUpperCase().padStart(8, '0'),
    accelerometer: { ...chip(make.accelerometer), gPerCount: make.accelerometer.perCount },
    magnetometer: { ...chip(make.magnetometer), ntPerCount: make.magnetometer.perCount },
    ...(make.gyro && { gyro: { ...chip(make.gyro), dpsPerCount: make.gyro.perCount } }),
    temperature: { cPerCount: 1 / 256, cAtZero: 25 },
    sampleHz: make.hz,
  };
}
