import { cellOf } from '../../calibration/tumble/coverage.ts';
import type { TumbleSample } from '../../calibration/tumble/types.ts';
import type { Vector3 } from '../../calibration/vector.ts';

/** Up to here every reading is kept. */
const keepAll = 20_000;
/** From then on, this many of each attitude; of each direction where only one sensor speaks. */
const perAttitude = 12;
const perDirection = 400;

/**
 * The readings of a tumble in bounded memory: all of them while they are few, then an even choice of each attitude (reservoir
 * sampling, Vitter 1985), in the order in which they came. Attitudes are cells of up and of the field about the middle of
 * what it has spanned.
 */
export class TumbleStore<Sample extends Partial<TumbleSample>> {
  offered = 0;
  private kept: Sample[] = [];
  private reservoirs: Map<number, Reservoir<Sample>> | undefined;
  private readonly low = [Infinity, Infinity, Infinity];
  private readonly high = [-Infinity, -Infinity, -Infinity];
  private draws = 1;

  offer(sample: Sample): void {
    this.offered += 1;
    const field = sample.fieldNt;
    if (field) {
      for (let k = 0; k < 3; k += 1) {
        this.low[k] = Math.min(this.low[k], field[k]);
        this.high[k] = Math.max(this.high[k], field[k]);
      }
    }
    if (this.reservoirs) {
      this.put(this.reservoirs, sample, this.offered);
      return;
    }
    this.kept.push(sample);
    if (this.kept.length <= keepAll) return;
    const reservoirs = new Map<number, Reservoir<Sample>>();
    this.kept.forEach((each, i) => this.put(reservoirs, each, i + 1));
    this.reservoirs = reservoirs;
    this.kept = [];
  }

  /** In the order of arrival. */
  samples(): Sample[] {
    if (!this.reservoirs) return this.kept;
    return [...this.reservoirs.values()]
      .flatMap(({ entries }) => entries)
      .sort((a, b) => a.order - b.order)
      .map(({ sample }) => sample);
  }

  /** Middle of what the field has spanned. */
  fieldMiddle(): Vector3 {
    const middle = (k: number): number => (this.high[k] >= this.low[k] ? (this.high[k] + this.low[k]) / 2 : 0);
    return [middle(0), middle(1), middle(2)];
  }

  private put(reservoirs: Map<number, Reservoir<Sample>>, sample: Sample, order: number): void {
    const key = this.attitudeOf(sample);
    const reservoir = reservoirs.get(key) ?? { seen: 0, entries: [] };
    reservoirs.set(key, reservoir);
    reservoir.seen += 1;
    const most = sample.accelG && sample.fieldNt ? perAttitude : perDirection;
    if (reservoir.entries.length < most) reservoir.entries.push({ sample, order });
    else {
      const place = Math.floor(this.uniform() * reservoir.seen);
      if (place < most) reservoir.entries[place] = { sample, order };
    }
  }

  private attitudeOf({ accelG, fieldNt }: Sample): number {
    const up = accelG ? cellOf(...accelG) : 0;
    if (!fieldNt) return up;
    const [x, y, z] = this.fieldMiddle();
    return 1000 * up + cellOf(fieldNt[0] - x, fieldNt[1] - y, fieldNt[2] - z);
  }

  /** Reproducible: a linear congruential generator (Numerical Recipes' constants, from memory) is good enough to choose readings. */
  private uniform(): number {
    this.draws = (Math.imul(this.draws, 1664525) + 1013904223) >>> 0;
    return this.draws / 4294967296;
  }
}

interface Reservoir<Sample> {
  seen: number;
  entries: { sample: Sample; order: number }[];
}
