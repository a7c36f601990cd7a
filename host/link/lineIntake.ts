import {
  bytesOf,
  decodeBytes,
  type Acknowledged,
  type BoardEvent,
  type Hello,
  type Particulars,
  type Refused,
  type SelfTestRow,
} from '../../firmware-proto/wire.ts';
import type { BoardSample } from './boardSample.ts';
import { noCounts, type LinkCounters } from './counters.ts';
import { SamplesAveraged } from './samplesAveraged.ts';
import { SampleScale } from './sampleScale.ts';
import { SampleClock } from './unwrap.ts';

const letterH = 0x48;

export type BoardReply = BoardEvent | SelfTestRow | Acknowledged | Refused | Particulars;

interface IntakeListeners {
  onSample(sample: BoardSample): void;
  onHello(hello: Hello): void;
  onReply(reply: BoardReply): void;
  /** Every line that is sound, as it came, without its line feed: the first `length` bytes, for the time of the call only. */
  onSoundLine(line: Uint8Array, length: number, arrivalS: number): void;
}

/**
 * From lines to samples in the board's frame and physical units: decodes, counts by name what it does not believe, unwraps the
 * counters, applies scale and orientation of the last hello, and averages down what comes faster than needed. Nothing comes out before a hello.
 */
export class LineIntake {
  readonly counters: LinkCounters = noCounts();
  /** Last hello on this port. */
  hello: Hello | undefined;
  /** Protocol version of a board that speaks another one; its samples are not believed. */
  otherProtocol: number | undefined;
  /** In words, why the last hello was not believed. */
  helloFault: string | undefined;
  private scale: SampleScale | undefined;
  private averaged = new SamplesAveraged(1);
  private readonly clock = new SampleClock(this.counters);
  private readonly listeners: IntakeListeners;
  private isFirst = true;

  constructor(listeners: IntakeListeners) {
    this.listeners = listeners;
  }

  /** A new port was opened: another board may answer, and its first line is often partial. */
  restart(): void {
    this.hello = undefined;
    this.otherProtocol = undefined;
    this.helloFault = undefined;
    this.scale = undefined;
    this.isFirst = true;
    this.clock.expectRestart();
  }

  /** Takes one line of text; true when it is sound. */
  takeText(line: string, arrivalS: number): boolean {
    return this.take(bytesOf(line), line.length, arrivalS);
  }

  /** Takes one line, the first `length` bytes of `line`; true when it is sound. `arrivalS`: monotonic host time, seconds. */
  take(line: Uint8Array, length: number, arrivalS: number): boolean {
    const decoded = decodeBytes(line, length);
    const isFirst = this.isFirst;
    this.isFirst = false;
    if (decoded.kind === 'bad') {
      this.counters[isFirst ? 'beforeFirst' : decoded.bad] += 1;
      if (decoded.bad === 'malformed' && line[0] === letterH) this.helloFault = decoded.what;
      return false;
    }
    switch (decoded.kind) {
      case 'sample': {
        const { scale, clock, counters } = this;
        if (scale === undefined) {
          counters.beforeHello += 1;
        } else if (clock.accept(decoded.seq, decoded.micros, arrivalS)) {
          counters.samples += 1;
          const sample = this.averaged.offer({
            arrivalS,
            boardS: clock.boardS,
            sequence: clock.sequence,
            accelG: scale.accelG(decoded),
            fieldNt: scale.fieldNt(decoded),
            rateDps: scale.rateDps(decoded),
            temperatureC: scale.temperatureC(decoded),
          });
          if (sample) this.listeners.onSample(sample);
        }
        break;
      }
      case 'hello':
        this.hello = decoded;
        this.otherProtocol = undefined;
        this.helloFault = undefined;
        this.scale = new SampleScale(decoded);
        this.clock.expectRate(decoded.sampleHz);
        this.averaged = new SamplesAveraged(decoded.sampleHz);
        this.listeners.onHello(decoded);
        break;
      case 'otherProtocol':
        this.counters.otherProtocol += 1;
        this.otherProtocol = decoded.protocol;
        this.hello = undefined;
        this.scale = undefined;
        break;
      case 'unknown':
        this.counters.unknown += 1;
        break;
      case 'event':
        this.counters.boardEvents += 1;
        this.listeners.onReply(decoded);
        break;
      default:
        this.listeners.onReply(decoded);
    }
    this.listeners.onSoundLine(line, length, arrivalS);
    return true;
  }
}
