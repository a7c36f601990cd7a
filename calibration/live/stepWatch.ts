import { degree } from '../angle.ts';

/** The readings of the azimuth are remembered for this long, and judged so long after a jump of the needle, seconds. */
const rememberedS = 1.2;
const judgedAfterS = 0.5;
/** The mean that shows a step lags behind it by up to this, seconds; a step after it would be the noise of the last samples. */
const noticedAfterS = 0.5;
/** What is smaller than this is the noise of a cheap chip, or within what is stated anyway. */
const leastRad = degree;
/** Faster than this no hand turns an azimuth bolt: two and a half turns a second of a usual one (common practice). */
const handRadPerS = 3 * degree;
/** Natural logarithm of how much likelier a step has to be than a turn, twice: turns of a bolt are many, such iron is rare. */
const leastEvidence = 4;
/** Durations of a turn that are tried, one after the other longer by this factor. */
const durationStep = 1.5;
/** Samples of `rememberedS` from the fastest board after averaging. */
const most = 160;

/** A change of the azimuth that begins somewhere and lasts for a while: its size, and what it leaves unexplained. */
interface Change {
  sizeRad: number;
  squares: number;
  samples: number;
}

/**
 * Tells a step of the azimuth within a few samples, which only iron can make, from a turn of a bolt: whichever fits the readings
 * better by least squares, at equal numbers of unknowns. Strength and dip show iron in every direction but one: square to both
 * the field and the vertical it moves the azimuth only. What moves as slowly as a bolt cannot be told from one.
 */
export class StepWatch {
  private readonly valueRad = new Float64Array(most);
  private readonly timeS = new Float64Array(most);
  private newest = -1;
  private count = 0;
  private jumpS = 0;
  private dueS = Infinity;

  restart(): void {
    this.count = 0;
    this.dueS = Infinity;
  }

  /**
   * @param azimuthRad newest reading, from any direction near by that stays
   * @param hasJumped the needle has just followed a motion
   * @returns a step that was no turn of a bolt, radians; 0 where there is none
   */
  offer(azimuthRad: number, boardS: number, hasJumped: boolean): number {
    this.newest = (this.newest + 1) % most;
    this.valueRad[this.newest] = azimuthRad;
    this.timeS[this.newest] = boardS;
    this.count = Math.min(this.count + 1, most);
    if (hasJumped && this.dueS === Infinity) {
      this.jumpS = boardS;
      this.dueS = boardS + judgedAfterS;
    }
    if (boardS < this.dueS) return 0;
    this.dueS = Infinity;
    return this.judge(boardS);
  }

  private judge(nowS: number): number {
    const step = this.fitted(nowS, this.jumpS - noticedAfterS, this.jumpS, 0);
    if (!(Math.abs(step.sizeRad) >= leastRad)) return 0;
    let turn = Infinity;
    for (let lastsS = Math.abs(step.sizeRad) / handRadPerS; lastsS < 2 * rememberedS; lastsS *= durationStep)
      turn = Math.min(turn, this.fitted(nowS, nowS - rememberedS, nowS, lastsS).squares);
    return step.samples * Math.log(turn / step.squares) > leastEvidence ? step.sizeRad : 0;
  }

  /** The change of this duration that fits best, whenever it began between `fromS` and `toS`. */
  private fitted(nowS: number, fromS: number, toS: number, lastsS: number): Change {
    let best: Change = { sizeRad: NaN, squares: Infinity, samples: 0 };
    for (let age = 0; age < this.count; age += 1) {
      const beginS = this.timeS[this.at(age)];
      if (beginS < Math.max(fromS, nowS - rememberedS)) break;
      if (beginS > toS) continue;
      const change = this.changeAt(nowS, beginS, lastsS);
      if (change.squares < best.squares) best = change;
    }
    return best;
  }

  private changeAt(nowS: number, beginS: number, lastsS: number): Change {
    let [samples, x1, y1, xx, xy, yy] = [0, 0, 0, 0, 0, 0];
    for (let age = 0; age < this.count; age += 1) {
      const at = this.at(age);
      if (nowS - this.timeS[at] > rememberedS) break;
      const sinceS = this.timeS[at] - beginS;
      const x = sinceS < 0 ? 0 : sinceS >= lastsS ? 1 : sinceS / lastsS;
      const y = this.valueRad[at];
      samples += 1;
      x1 += x;
      y1 += y;
      xx += x * x;
      xy += x * y;
      yy += y * y;
    }
    const spread = xx - (x1 * x1) / samples;
    if (!(spread > 0.5)) return { sizeRad: NaN, squares: Infinity, samples };
    const shared = xy - (x1 * y1) / samples;
    return { sizeRad: shared / spread, squares: yy - (y1 * y1) / samples - (shared * shared) / spread, samples };
  }

  private at(age: number): number {
    return (this.newest - age + most) % most;
  }
}
