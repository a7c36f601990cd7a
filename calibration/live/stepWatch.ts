import { degree } from '../angle.ts';

/** The readings of the azimuth are remembered for so long before they are judged, so long after a jump of the needle, seconds. */
interface Look {
  rememberedS: number;
  afterS: number;
  /** Less evidence for a step than this, and it was a turn. */
  leastOfDoubt: number;
}
/** At once; and once more where that left a doubt. */
const looks: readonly Look[] = [
  { rememberedS: 1.2, afterS: 0.5, leastOfDoubt: -12 },
  { rememberedS: 2, afterS: 1.2, leastOfDoubt: -8 },
];
/** The mean that shows a step lags behind it by up to this, seconds; a step after it would be the noise of the last samples. */
const noticedAfterS = 0.5;
/** What is smaller than this is the noise of a cheap chip, or within what is stated anyway. */
const leastRad = degree;
const leastDoubtRad = 0.6 * degree;
/** A step in doubt stands out of the noise by this many of its sigmas. */
const leastSigmas = 4;
/** Faster than this no hand turns an azimuth bolt: two and a half turns a second of a usual one (common practice). */
const handRadPerS = 3 * degree;
/** Natural logarithm of how much likelier a step has to be than a turn, twice: turns of a bolt are many, such iron is rare. */
const leastEvidence = 4;
/** A doubt is this share of the step that may have been, and fades with this time constant, seconds. */
const doubtShare = 0.5;
const doubtS = 20;
/** Durations of a turn that are tried, one after the other longer by this factor. */
const durationStep = 1.5;
/** Samples of the longest memory from the fastest board after averaging. */
const most = 260;

/** A change of the azimuth that begins somewhere and lasts for a while: its size, and what it leaves unexplained. */
interface Change {
  sizeRad: number;
  sigmaRad: number;
  squares: number;
  samples: number;
}

const noChange: Change = { sizeRad: NaN, sigmaRad: NaN, squares: Infinity, samples: 0 };

/**
 * Tells a step of the azimuth within a few samples, which only iron can make, from a turn of a bolt: whichever fits the readings
 * better by least squares, at equal numbers of unknowns. Strength and dip show iron in every direction but one: square to both
 * the field and the vertical it moves the azimuth only. What moves as slowly as a bolt cannot be told from one; where the readings
 * leave it open which of the two it was, the doubt is told.
 */
export class StepWatch {
  /** What a step that may or may not have been iron leaves unknown of the azimuth, standard deviation, radians; it fades. */
  doubtRad = 0;
  private readonly valueRad = new Float64Array(most);
  private readonly timeS = new Float64Array(most);
  private newest = -1;
  private count = 0;
  private jumpS = 0;
  /** Which look comes next; none is due at -1. */
  private next = -1;

  restart(): void {
    this.count = 0;
    this.next = -1;
    this.doubtRad = 0;
  }

  /**
   * @param azimuthRad newest reading, from any direction near by that stays
   * @param hasJumped the needle has just followed a motion
   * @returns a step that was no turn of a bolt, radians; 0 where there is none
   */
  offer(azimuthRad: number, boardS: number, hasJumped: boolean): number {
    if (this.count > 0) this.doubtRad *= doubtS / (doubtS + boardS - this.timeS[this.newest]);
    this.newest = (this.newest + 1) % most;
    this.valueRad[this.newest] = azimuthRad;
    this.timeS[this.newest] = boardS;
    this.count = Math.min(this.count + 1, most);
    if (hasJumped && this.next < 0) {
      this.jumpS = boardS;
      this.next = 0;
    }
    if (this.next < 0 || boardS < this.jumpS + looks[this.next].afterS) return 0;
    return this.judge(boardS, looks[this.next]);
  }

  private judge(nowS: number, { rememberedS, leastOfDoubt }: Look): number {
    const isFirst = this.next === 0;
    this.next = -1;
    const sinceS = nowS - rememberedS;
    const step = this.fitted(sinceS, this.jumpS - noticedAfterS, this.jumpS, 0);
    const sizeRad = Math.abs(step.sizeRad);
    let turn = Infinity;
    if (sizeRad >= leastDoubtRad)
      for (let lastsS = sizeRad / handRadPerS; lastsS < 2 * rememberedS; lastsS *= durationStep)
        turn = Math.min(turn, this.fitted(sinceS, sinceS, nowS, lastsS).squares);
    const evidence = step.samples * Math.log(turn / step.squares);
    if (sizeRad >= leastRad && evidence > leastEvidence) return step.sizeRad;
    const isOpen = sizeRad >= Math.max(leastDoubtRad, leastSigmas * step.sigmaRad) && evidence > leastOfDoubt;
    this.doubtRad = isOpen ? Math.max(this.doubtRad, doubtShare * sizeRad) : isFirst ? this.doubtRad : 0;
    if (isOpen && isFirst) this.next = 1;
    return 0;
  }

  /** The change of this duration that fits the readings since an instant best, whenever it began between `fromS` and `toS`. */
  private fitted(sinceS: number, fromS: number, toS: number, lastsS: number): Change {
    let best = noChange;
    for (let age = 0; age < this.count; age += 1) {
      const beginS = this.timeS[this.at(age)];
      if (beginS < Math.max(fromS, sinceS)) break;
      if (beginS > toS) continue;
      const change = this.changeAt(sinceS, beginS, lastsS);
      if (change.squares < best.squares) best = change;
    }
    return best;
  }

  private changeAt(sinceS: number, beginS: number, lastsS: number): Change {
    let [samples, x1, y1, xx, xy, yy] = [0, 0, 0, 0, 0, 0];
    for (let age = 0; age < this.count; age += 1) {
      const at = this.at(age);
      if (this.timeS[at] < sinceS) break;
      const sinceBeginS = this.timeS[at] - beginS;
      const x = sinceBeginS < 0 ? 0 : sinceBeginS >= lastsS ? 1 : sinceBeginS / lastsS;
      const y = this.valueRad[at];
      samples += 1;
      x1 += x;
      y1 += y;
      xx += x * x;
      xy += x * y;
      yy += y * y;
    }
    const spread = xx - (x1 * x1) / samples;
    if (!(spread > 0.5)) return noChange;
    const shared = xy - (x1 * y1) / samples;
    const squares = yy - (y1 * y1) / samples - (shared * shared) / spread;
    return { sizeRad: shared / spread, sigmaRad: Math.sqrt(squares / samples / spread), squares, samples };
  }

  private at(age: number): number {
    return (this.newest - age + most) % most;
  }
}
