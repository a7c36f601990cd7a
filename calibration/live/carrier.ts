import AHRS from 'ahrs';
import { scale, type Vector3 } from '../vector.ts';

/** Small: the gyro carries the motion, gravity and field only keep it from wandering off, in about 1 / (2 kp) seconds. */
const kp = 0.1;
/** Rotation above which the carrier moves the needle, degrees a second; below it the still mean is better. */
const movingDps = 0.25;
/** The rate is averaged over this long before it is judged, seconds. */
const averageS = 0.05;
/** Memory of the gyro's bias; rest that is needed before it is believed; rest in spite of a rate after which the bias has moved. */
const biasMemoryS = 5;
const biasFirstS = 1.5;
const biasMovedS = 5;

/** Never exactly zero: the package passes over an update in which a component is (its Mahony filter still does). */
const nonZero = (value: number): number => (value === 0 ? 1e-12 : value);

/** The one thing used of the package, so that its filter can be chosen: Euler angles are never asked for. */
interface Filter {
  update: (...values: number[]) => void;
  getQuaternion: () => { w: number; x: number; y: number; z: number };
}

/** One update of an `ahrs` filter: gyro in rad/s, accelerometer +1 g up, magnetometer in any unit, interval in seconds. */
export function updateFilter(filter: Filter, rateRadS: Vector3, up: Vector3, field: Vector3, intervalS: number): void {
  filter.update(
    rateRadS[0],
    rateRadS[1],
    rateRadS[2],
    nonZero(up[0]),
    nonZero(up[1]),
    nonZero(up[2]),
    nonZero(field[0]),
    nonZero(field[1]),
    nonZero(field[2]),
    intervalS,
  );
}

/**
 * A direction of the board as an `ahrs` filter sees it, in magnetic north-east-down.
 * The package's world is north-west-up (its headings count from north toward west), so east and down change sign.
 */
export function directionOf(filter: Filter, direction: Vector3): Vector3 {
  const { w, x, y, z } = filter.getQuaternion();
  const [a, b, c] = direction;
  const north = (1 - 2 * (y * y + z * z)) * a + 2 * (x * y - w * z) * b + 2 * (x * z + w * y) * c;
  const west = 2 * (x * y + w * z) * a + (1 - 2 * (x * x + z * z)) * b + 2 * (y * z - w * x) * c;
  const up = 2 * (x * z - w * y) * a + 2 * (y * z + w * x) * b + (1 - 2 * (x * x + y * y)) * c;
  return [north, -west, -up];
}

/** A filter of the package that starts at the attitude of its first reading. */
export const newFilter = (algorithm: 'Madgwick' | 'Mahony', gain: number, sampleIntervalS: number): Filter =>
  new AHRS({
    sampleInterval: sampleIntervalS * 1000,
    algorithm,
    ...(algorithm === 'Madgwick' ? { beta: gain } : { kp: gain, ki: 0 }),
    doInitialisation: true,
  }) as unknown as Filter;

/** Carries the axis through motion on boards with a gyro, by the Mahony filter of the `ahrs` package. */
export class MotionCarrier {
  /** The gyro says that the board turns. */
  isTurning = false;
  private readonly filter: Filter;
  private readonly axisInBoard: Vector3;
  private readonly bias = new Float64Array(3);
  private readonly average = new Float64Array(3);
  private biasS = 0;
  private contradictedS = 0;
  private previous: Vector3 | undefined;

  constructor(axisInBoard: Vector3, sampleIntervalS: number) {
    this.axisInBoard = axisInBoard;
    this.filter = newFilter('Mahony', kp, sampleIntervalS);
  }

  /**
   * How far the axis rose and swung toward the east since the last sample, radians; undefined while the board rests.
   * @param up corrected acceleration, any length
   * @param field corrected field, any length
   * @param still true while gravity and field show no motion
   */
  offer(
    rateDps: Vector3,
    up: Vector3,
    field: Vector3,
    intervalS: number,
    still: boolean,
  ): { up: number; east: number } | undefined {
    const rate: Vector3 = [rateDps[0] - this.bias[0], rateDps[1] - this.bias[1], rateDps[2] - this.bias[2]];
    updateFilter(this.filter, scale(rate, Math.PI / 180), up, field, intervalS);
    const now = directionOf(this.filter, this.axisInBoard);
    const before = this.previous ?? now;
    this.previous = now;
    this.judge(rate, intervalS, still);
    if (!this.isTurning) return undefined;
    const horizontal = Math.hypot(now[0], now[1]);
    const horizontalBefore = Math.hypot(before[0], before[1]);
    return {
      up: horizontal * before[2] - now[2] * horizontalBefore,
      east: (before[0] * now[1] - before[1] * now[0]) / (horizontal * horizontalBefore),
    };
  }

  private judge(rate: Vector3, intervalS: number, still: boolean): void {
    const gain = intervalS / (averageS + intervalS);
    for (let i = 0; i < 3; i += 1) this.average[i] += gain * (rate[i] - this.average[i]);
    const isFast = Math.hypot(this.average[0], this.average[1], this.average[2]) > movingDps;
    this.contradictedS = still && isFast ? this.contradictedS + intervalS : 0;
    this.isTurning = isFast && this.biasS > biasFirstS && this.contradictedS < biasMovedS;
    if (still && !this.isTurning) {
      this.biasS += intervalS;
      const share = intervalS / Math.min(this.biasS, biasMemoryS);
      for (let i = 0; i < 3; i += 1) this.bias[i] += share * rate[i];
    }
  }
}
