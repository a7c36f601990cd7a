import { norm, scale, subtract, type Vector3 } from '../vector.ts';
import type { Dwell } from './types.ts';

/** One reading in time; a `BoardSample` fits. */
export interface TimedReading {
  boardS: number;
  accelG: Vector3;
  fieldNt: Vector3;
  temperatureC?: number;
}

/** Readings are judged in blocks of this length: long enough to average noise, short enough to see a hand. */
const blockS = 0.2;
/** Shortest rest that counts; a block at either end is left out, for the hand is still on the mount. */
const shortestS = 0.8;
/** A block belongs to the rest while its mean stays this near to the rest's (0.3 degree of tilt), or within its own noise. */
const nearG = 0.005;
const nearNoise = 5;
/** Shake within a block above which the board moves. */
const shakeG = 0.03;
/** What averaging does not take away: quantisation and creep of consumer chips (LSM303AGR steps of 1 mg and 150 nT). */
const floorG = 0.00015;
const floorNt = 20;

/** Running sums of readings: means and scatter without keeping them. */
class Sums {
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

  join(other: Sums): void {
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

/**
 * Finds by itself where the axis rests while it is turned by hand: offered every reading, it keeps the mean of each rest of
 * 0.8 s and more. Memory grows with the number of rests only, and stops at 200.
 */
export class DwellFinder {
  private readonly found: Dwell[] = [];
  private block = new Sums();
  private rest = new Sums();
  /** The latest quiet block, joined to the rest only once the next one is quiet too. */
  private pending: Sums | undefined;
  private first = true;

  offer(reading: TimedReading): void {
    if (!isFiniteReading(reading)) return;
    if (this.block.count > 0 && (reading.boardS < this.block.toS || reading.boardS - this.block.toS > 1)) this.close();
    this.block.add(reading);
    if (reading.boardS - this.block.fromS < blockS || this.block.count < 3) return;
    this.judge(this.block);
    this.block = new Sums();
  }

  /** Rests so far, the present one included when it is long enough. */
  get dwells(): readonly Dwell[] {
    return this.restCounts() ? [...this.found, this.asDwell()] : this.found;
  }

  /** Seconds that the board has rested where it is now; 0 while it moves. */
  get restingS(): number {
    return this.rest.count > 0 ? this.rest.toS - this.rest.fromS : 0;
  }

  /** True once the present rest counts, so that the hand may turn on. */
  restCounts(): boolean {
    return this.restingS >= shortestS - 2 * blockS && this.rest.count >= 5;
  }

  /** Ends the present rest, as at the end of a recording or when the board was taken off. */
  close(): void {
    if (this.restCounts() && this.found.length < 200) this.found.push(this.asDwell());
    this.rest = new Sums();
    this.block = new Sums();
    this.pending = undefined;
    this.first = true;
  }

  private judge(block: Sums): void {
    if (block.scatter(0) > shakeG || !this.belongs(block)) {
      const latest = block;
      this.close();
      if (latest.scatter(0) <= shakeG) this.pending = latest;
      return;
    }
    // The first block of a rest is left out, and the last one never joins.
    if (this.pending && !this.first) this.rest.join(this.pending);
    if (this.pending) this.first = false;
    this.pending = block;
  }

  private belongs(block: Sums): boolean {
    const reference = this.rest.count > 0 ? this.rest : this.pending;
    if (!reference) return true;
    const noiseG = Math.max(block.scatter(0), reference.scatter(0)) / Math.sqrt(Math.min(block.count, reference.count));
    return norm(subtract(block.mean(0), reference.mean(0))) < Math.max(nearG, nearNoise * noiseG);
  }

  private asDwell(): Dwell {
    const { rest } = this;
    const temperatureC = rest.sum[6] / rest.count;
    return {
      accelG: rest.mean(0),
      fieldNt: rest.mean(3),
      sigmaAccelG: Math.hypot(rest.scatter(0) / Math.sqrt(rest.count), floorG),
      sigmaFieldNt: Math.hypot(rest.scatter(3) / Math.sqrt(rest.count), floorNt),
      samples: rest.count,
      fromS: rest.fromS,
      toS: rest.toS,
      ...(Number.isFinite(temperatureC) ? { temperatureC } : {}),
    };
  }
}

const isFiniteReading = ({ boardS, accelG, fieldNt }: TimedReading): boolean =>
  Number.isFinite(boardS) && accelG.every(Number.isFinite) && fieldNt.every(Number.isFinite);

/** Readings without a time stand alone: each is a rest of its own, with the noise the caller knows or assumes. */
export const shotDwells = (
  readings: readonly { accelG: Vector3; fieldNt: Vector3 }[],
  noise = { accelG: 0.003, fieldNt: 300 },
): Dwell[] =>
  readings.map(({ accelG, fieldNt }) => ({
    accelG,
    fieldNt,
    sigmaAccelG: noise.accelG,
    sigmaFieldNt: noise.fieldNt,
    samples: 1,
  }));

/** The rest with the most readings; undefined without any. */
export const longestDwell = (dwells: readonly Dwell[]): Dwell | undefined =>
  dwells.reduce<Dwell | undefined>((best, next) => (best && best.samples >= next.samples ? best : next), undefined);
