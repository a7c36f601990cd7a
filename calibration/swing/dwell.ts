import { norm, subtract, type Vector3 } from '../vector.ts';
import { readingNoiseG, readingsWanted, RestSums, sigmaOfMean, StepSizes } from './restNoise.ts';
import type { TimedReading } from './timedReading.ts';
import type { Dwell } from './types.ts';

/** Readings are judged in blocks of this length: long enough to average noise, short enough to see a hand. */
const blockS = 0.2;
/** Shortest rest that counts; a block at either end is left out, for the hand is still on the mount. */
const shortestS = 0.8;
const shortestCountedS = shortestS - 2 * blockS;
/** A block belongs to the rest while its mean stays this near to the rest's (0.3 degree of tilt), or within its own noise. */
const nearG = 0.005;
const nearNoise = 5;
/**
 * The same for the field, as a share of it (about a degree): a board turned smoothly about the vertical, or moved past iron,
 * keeps its gravity. Three noisy components pass eight sigmas of one never.
 */
const nearField = { share: 0.02, noise: 8 };
/** Shake within a block above which the board moves. */
const shakeG = 0.03;
/** No rest is believed better than this, whatever its readings look like. */
export const leastSigma = { accelG: 0.00002, fieldNt: 2 } as const;

/**
 * Finds by itself where the axis rests while it is turned by hand: offered every reading, it keeps the mean of each rest of
 * 0.8 s and more. Memory grows with the number of rests only, and stops at 200.
 */
export class DwellFinder {
  private readonly found: Dwell[] = [];
  private block = new RestSums();
  private rest = new RestSums();
  /** The latest quiet block, joined to the rest only once the next one is quiet too. */
  private pending: RestSums | undefined;
  private first = true;
  private readonly steps = new StepSizes();

  offer(reading: TimedReading): void {
    if (!isFiniteReading(reading)) return;
    if (this.block.count > 0 && (reading.boardS < this.block.toS || reading.boardS - this.block.toS > 1)) this.close();
    this.block.add(reading);
    this.steps.offer(reading);
    if (reading.boardS - this.block.fromS < blockS || this.block.count < 3) return;
    this.judge(this.block);
    this.block = new RestSums();
  }

  /** Rests so far, the present one included when it is long enough. */
  get dwells(): readonly Dwell[] {
    return this.restCounts() ? [...this.found, this.asDwell()] : this.found;
  }

  /** Seconds that the board has rested where it is now; 0 while it moves. */
  get restingS(): number {
    return this.rest.count > 0 ? this.rest.toS - this.rest.fromS : 0;
  }

  /** True once the present rest counts as one. */
  restCounts(): boolean {
    return this.restingS >= shortestCountedS && this.rest.count >= 5;
  }

  /**
   * How long a rest is wanted, hand off to hand on, seconds: by the noise that the rests so far have shown, so that a noisy chip
   * tells gravity as well as a quiet one. The shortest that counts while nothing is known.
   */
  get restWantedS(): number {
    const { dwells } = this;
    const { samples, fromS = 0, toS = 0 } = dwells.at(-1) ?? { samples: 1 };
    const wantedS = dwells.length > 0 ? (readingsWanted(readingNoiseG(dwells)) * (toS - fromS)) / (samples - 1) : 0;
    return Math.max(wantedS, shortestCountedS) + 2 * blockS;
  }

  /** True once the present rest is as long as wanted, so that the hand may turn on. */
  restIsLong(): boolean {
    return this.restCounts() && this.restingS >= this.restWantedS - 2 * blockS;
  }

  /** Ends the present rest, as at the end of a recording or when the board was taken off. */
  close(): void {
    if (this.restCounts() && this.found.length < 200) this.found.push(this.asDwell());
    this.rest = new RestSums();
    this.block = new RestSums();
    this.pending = undefined;
    this.first = true;
  }

  private judge(block: RestSums): void {
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

  private belongs(block: RestSums): boolean {
    const reference = this.rest.count > 0 ? this.rest : this.pending;
    if (!reference) return true;
    const noise = (sensor: 0 | 3): number =>
      Math.max(block.scatter(sensor), reference.scatter(sensor)) / Math.sqrt(Math.min(block.count, reference.count));
    const change = (sensor: 0 | 3): number => norm(subtract(block.mean(sensor), reference.mean(sensor)));
    return (
      change(0) < Math.max(nearG, nearNoise * noise(0)) &&
      change(3) <= Math.max(nearField.share * norm(reference.mean(3)), nearField.noise * noise(3))
    );
  }

  private asDwell(): Dwell {
    const { rest } = this;
    const temperatureC = rest.sum[6] / rest.count;
    return {
      accelG: rest.mean(0),
      fieldNt: rest.mean(3),
      sigmaAccelG: Math.max(sigmaOfMean(rest.scatter(0), rest.count, this.steps.accelG), leastSigma.accelG),
      sigmaFieldNt: Math.max(sigmaOfMean(rest.scatter(3), rest.count, this.steps.fieldNt), leastSigma.fieldNt),
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
