import { arcminute } from '../angle.ts';
import { scale, type Vector3 } from '../vector.ts';
import type { TimedReading } from './timedReading.ts';
import type { Dwell } from './types.ts';

/**
 * Zero levels of consumer chips wander, over half a minute, by about this share of the noise of a single reading, so that
 * averaging more than some 400 readings brings nothing (flicker floor of the Allan deviation: common practice; datasheets that
 * give both lie between a fiftieth and a sixteenth, from memory).
 */
export const wanderShare = 0.05;

/**
 * Standard deviation of the mean of `count` readings at rest, from their own scatter: white noise, wander, and what a step of
 * the output leaves where the noise does not dither it (bias of a uniform quantiser, first harmonic: Widrow and Kollar,
 * Quantization Noise, 2008, section 4; rms of a uniform error without noise).
 */
export function sigmaOfMean(scatter: number, count: number, step: number): number {
  const steady = step > 0 ? (step / Math.sqrt(12)) * Math.exp(-2 * (Math.PI * (scatter / step)) ** 2) : 0;
  return Math.hypot(scatter / Math.sqrt(count), scatter * wanderShare, steady);
}

/** What a rest should tell gravity to: an arcminute. */
const wantedG = 1 * arcminute;

/**
 * Readings at rest after which their mean tells gravity to an arcminute; where the chip's wander takes most of that, those after
 * which noise is no more than wander, for more bring little.
 * @param noiseG standard deviation of one reading
 */
export function readingsWanted(noiseG: number): number {
  const left = wantedG ** 2 - (wanderShare * noiseG) ** 2;
  return Math.min(left > 0 ? noiseG ** 2 / left : Infinity, 1 / wanderShare ** 2);
}

/** Noise of a single accelerometer reading, as the typical rest shows it: free of the hand that tumbled the board. */
export function readingNoiseG(dwells: readonly Dwell[]): number {
  const noises = dwells
    .map(({ sigmaAccelG, samples }) => sigmaAccelG / Math.hypot(1 / Math.sqrt(samples), wanderShare))
    .sort((a, b) => a - b);
  return noises[Math.floor(noises.length / 2)];
}

/** Below this two readings are the same but for rounding. */
const same = { g: 1e-7, nt: 1e-3 };

/** The output steps of both chips, as the smallest change between neighbouring readings shows them; 0 until one was seen. */
export class StepSizes {
  accelG = 0;
  fieldNt = 0;
  private last: TimedReading | undefined;

  offer(reading: TimedReading): void {
    const { last } = this;
    this.last = reading;
    if (!last) return;
    for (let i = 0; i < 3; i += 1) {
      this.accelG = smaller(this.accelG, Math.abs(reading.accelG[i] - last.accelG[i]), same.g);
      this.fieldNt = smaller(this.fieldNt, Math.abs(reading.fieldNt[i] - last.fieldNt[i]), same.nt);
    }
  }
}

const smaller = (step: number, change: number, least: number): number =>
  change > least && (step === 0 || change < step) ? change : step;

/** Running sums of readings: means and scatter without keeping them. */
export class RestSums {
  count = 0;
  readonly sum = new Float64Array(7);
  readonly squares = new Float64Array(6);
  fromS = 0;
  toS = 0;

  add({ boardS, accelG, fieldNt, temperatureC = NaN }: TimedReading): void {
    if (this.count === 0) this.fromS = boardS;
    this.toS = boardS;
    this.count += 1;
    for (let i = 0; i < 3; i += 1) {
      this.sum[i] += accelG[i];
      this.sum[3 + i] += fieldNt[i];
      this.squares[i] += accelG[i] ** 2;
      this.squares[3 + i] += fieldNt[i] ** 2;
    }
    this.sum[6] += temperatureC;
  }

  join(other: RestSums): void {
    if (this.count === 0) this.fromS = other.fromS;
    this.toS = other.toS;
    this.count += other.count;
    for (let i = 0; i < 7; i += 1) this.sum[i] += other.sum[i];
    for (let i = 0; i < 6; i += 1) this.squares[i] += other.squares[i];
  }

  mean(first: 0 | 3): Vector3 {
    return scale([this.sum[first], this.sum[first + 1], this.sum[first + 2]], 1 / this.count);
  }

  /** Rms scatter of one axis. */
  scatter(first: 0 | 3): number {
    let variance = 0;
    for (let i = first; i < first + 3; i += 1) {
      variance += Math.max(this.squares[i] / this.count - (this.sum[i] / this.count) ** 2, 0) / 3;
    }
    return Math.sqrt((variance * this.count) / Math.max(this.count - 1, 1));
  }
}
