import { norm, subtract } from '../vector.ts';
import type { TimedReading } from './timedReading.ts';
import { DwellFinder, leastSigma } from './dwell.ts';
import { RestSums, sigmaOfMean } from './restNoise.ts';
import type { Dwell } from './types.ts';

/** Longer than any rest that is wanted of a board with ten readings a second and more. */
const mostReadings = 5000;
/** A block at either end of a rest is left out of it. */
const slackS = 0.4;
/** The halves of a rest differ by this many of their sigmas, or the board is still moving: chance does it once in 150 looks. */
const steadySigmas = 3.5;

/**
 * The rest just now, no longer than is wanted. `DwellFinder` takes what lies within 0.3 degree for one rest, which tells the
 * places of a swing apart; a bolt that bites moves the axis by less, so that what was before must not be in the mean.
 */
export class LatestRest {
  private readings: TimedReading[] = [];
  private readonly noise = new DwellFinder();

  offer(reading: TimedReading): void {
    this.noise.offer(reading);
    this.readings.push(reading);
    if (this.readings.length > 2 * mostReadings) this.readings = this.readings.slice(-mostReadings);
  }

  /** Seconds that the board should rest, by the noise it shows. */
  get wantedS(): number {
    return this.noise.restWantedS;
  }

  /** True once the board has rested for as long as wanted and moves no more. */
  isLong(): boolean {
    const latest = this.latest();
    return latest.finder.restIsLong() && isSteady(latest.readings);
  }

  /** Undefined where the board does not rest now, or crept while it did. */
  dwell(): Dwell | undefined {
    const { finder, readings } = this.latest();
    return finder.restCounts() && isSteady(readings) ? finder.dwells.at(-1) : undefined;
  }

  /** Nothing of before counts from now on, but how noisy the board is. */
  startAnew(): void {
    this.readings = [];
  }

  private latest(): { finder: DwellFinder; readings: readonly TimedReading[] } {
    const nowS = this.readings.at(-1)?.boardS ?? 0;
    const sinceS = nowS - this.wantedS - slackS;
    let first = this.readings.length;
    while (first > 0 && this.readings[first - 1].boardS >= sinceS) first -= 1;
    const readings = this.readings.slice(first);
    const finder = new DwellFinder();
    for (const reading of readings) finder.offer(reading);
    return { finder, readings };
  }
}

/** Whether both halves of the time show the same gravity and the same field, as well as their noise can tell. */
function isSteady(readings: readonly TimedReading[]): boolean {
  const halves = [new RestSums(), new RestSums()] as const;
  readings.forEach((reading, i) => halves[2 * i < readings.length ? 0 : 1].add(reading));
  return ([0, 3] as const).every((sensor) => {
    const [one, other] = halves;
    const sigmaOf = (half: RestSums): number => sigmaOfMean(half.scatter(sensor), half.count, 0);
    const sigma = Math.hypot(sigmaOf(one), sigmaOf(other), sensor === 0 ? leastSigma.accelG : leastSigma.fieldNt);
    return norm(subtract(one.mean(sensor), other.mean(sensor))) <= steadySigmas * sigma;
  });
}
