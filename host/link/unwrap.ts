import type { LinkCounters } from './counters.ts';

const seqSpan = 65536;
const microsSpan = 4294967296;
const stepsBetween = (from: number, to: number): number => (to - from) & (seqSpan - 1);
const microsBetween = (from: number, to: number): number => (to >= from ? to - from : to - from + microsSpan);
/** How far a repeated or late line may lie back, in samples. */
const reorderWindow = 8;
/** Slack of the host's clock against the board's: buffers on the way, and a laptop that slept. */
const slackMicros = 2e6;
/** A board may be a fifth faster than it says, and as fast as this before it has said anything. */
const shortestShare = 0.8;
const usualHz = 100;

/** The counters of a sample's line as the board wrote them, and when it arrived on the host's clock. */
interface Stamp {
  seq: number;
  micros: number;
  arrivalS: number;
}

type Step = 'next' | 'repeated' | 'reordered' | 'implausible';

/**
 * Unwraps the 16-bit sequence number and the 32-bit microseconds of the samples of one board, and sorts out what was lost, repeated,
 * reordered or contradicts itself. A sample that does not follow on the last one is held back; only when the next one follows
 * on it has the board restarted. `boardS` and `sequence` never run backward, over restarts and new ports too.
 */
export class SampleClock {
  /** Board's clock of the last accepted sample, unwrapped, seconds since the first. */
  boardS = 0;
  /** Sequence number of the last accepted sample, unwrapped, 0 for the first. */
  sequence = -1;
  private readonly counters: LinkCounters;
  private boardMicros = 0;
  /** The last accepted; its counters bind the next only on the same port. */
  private last: Stamp | undefined;
  private isSamePort = false;
  private held: Stamp | undefined;
  private shortestPeriodMicros = (shortestShare * 1e6) / usualHz;

  constructor(counters: LinkCounters) {
    this.counters = counters;
  }

  /** Forgets what the next sample must follow on: a new port was opened. */
  expectRestart(): void {
    this.dropHeld();
    this.isSamePort = false;
  }

  /** @param sampleHz samples a second, as the board's hello states them */
  expectRate(sampleHz: number): void {
    this.shortestPeriodMicros = (shortestShare * 1e6) / Math.max(sampleHz, usualHz);
  }

  /** True when the sample is to be believed; then `boardS` and `sequence` are its own. */
  accept(seq: number, micros: number, arrivalS: number): boolean {
    const { last, held } = this;
    if (last === undefined || !this.isSamePort) {
      this.restart({ seq, micros, arrivalS });
      return true;
    }
    const step = this.stepFrom(last, seq, micros, arrivalS);
    if (step === 'next') {
      const steps = stepsBetween(last.seq, seq);
      this.counters.lost += steps - 1;
      this.sequence += steps;
      this.boardMicros += microsBetween(last.micros, micros);
      this.boardS = this.boardMicros / 1e6;
      this.dropHeld();
      last.seq = seq;
      last.micros = micros;
      last.arrivalS = arrivalS;
      return true;
    }
    if (step !== 'implausible') {
      this.counters[step] += 1;
      return false;
    }
    if (held !== undefined && this.stepFrom(held, seq, micros, arrivalS) === 'next') {
      this.counters.reboots += 1;
      this.restart({ seq, micros, arrivalS });
      return true;
    }
    this.dropHeld();
    this.held = { seq, micros, arrivalS };
    return false;
  }

  private dropHeld(): void {
    if (this.held !== undefined) this.counters.implausible += 1;
    this.held = undefined;
  }

  /** Bridges a restart by the host's clock; the sequence shows a gap. */
  private restart(stamp: Stamp): void {
    if (this.last) {
      this.boardMicros += Math.max(Math.round((stamp.arrivalS - this.last.arrivalS) * 1e6), 1);
      this.boardS = this.boardMicros / 1e6;
      this.sequence += 2;
    } else {
      this.sequence = 0;
    }
    this.last = stamp;
    this.isSamePort = true;
    this.held = undefined;
  }

  private stepFrom(last: Stamp, seq: number, micros: number, arrivalS: number): Step {
    const steps = stepsBetween(last.seq, seq);
    const elapsed = microsBetween(last.micros, micros);
    if (steps === 0 && elapsed === 0) return 'repeated';
    if (steps >= seqSpan - reorderWindow && elapsed >= microsSpan - slackMicros) return 'reordered';
    const most = (arrivalS - last.arrivalS) * 1.01e6 + slackMicros;
    const isNext = steps > 0 && elapsed >= steps * this.shortestPeriodMicros && elapsed <= most;
    return isNext ? 'next' : 'implausible';
  }
}
