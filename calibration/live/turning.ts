import type { LevelledReading } from './attitude.ts';

const fastS = 0.08;
const slowS = 0.4;
/** Departure of the fast from the slow mean of the upward direction that means motion: this much, radians, beside the noise. */
const leastRad = 1.5e-3;
/** Of the squared departure against its usual value at rest; three components of normal noise stay below it for hours. */
const gate = 9;
const noiseMemoryS = 10;
/** The board has turned far, so that what was learned of the field before need not hold, radians. */
const farRad = 5 * (Math.PI / 180);

/** Whether the board itself turns, in any direction: turning in right ascension does not move the axis, but is motion all the same. */
export class Turning {
  /** Seconds since the board last moved. */
  restS = 0;
  /** True on the one sample at which the board has come far from where it was. */
  isFar = false;
  private readonly fast = new Float64Array(3);
  private readonly slow = new Float64Array(3);
  private readonly home = new Float64Array(3);
  private usual = 0;
  private learnedS = 0;

  restart(reading: LevelledReading): void {
    for (const mean of [this.fast, this.slow, this.home]) {
      mean[0] = reading.upX;
      mean[1] = reading.upY;
      mean[2] = reading.upZ;
    }
    this.restS = 0;
    this.isFar = false;
  }

  /** Motion that another sensor noticed. */
  noticed(): void {
    this.restS = 0;
  }

  offer(reading: LevelledReading, intervalS: number): void {
    this.restS += intervalS;
    const { fast, slow, home } = this;
    const fastGain = intervalS / (fastS + intervalS);
    const slowGain = intervalS / (slowS + intervalS);
    let apart = 0;
    let fromHome = 0;
    for (let i = 0; i < 3; i += 1) {
      const value = i === 0 ? reading.upX : i === 1 ? reading.upY : reading.upZ;
      fast[i] += fastGain * (value - fast[i]);
      slow[i] += slowGain * (value - slow[i]);
      apart += (fast[i] - slow[i]) ** 2;
      fromHome += (slow[i] - home[i]) ** 2;
    }
    const limit = leastRad * leastRad + gate * this.usual;
    if (apart > limit) this.restS = 0;
    // noise is learned from what is not motion, and a little from what is, lest a shaky mount never come to rest
    this.learnedS += intervalS;
    this.usual += (intervalS / Math.min(this.learnedS, noiseMemoryS)) * (Math.min(apart, limit) - this.usual);
    this.isFar = fromHome > farRad * farRad;
    if (this.isFar) home.set(slow);
  }
}
