/** One scale of a centre-zero needle: full deflection, and where its marks stand. */
export interface Scale {
  /** Unit of its labels and of the number beside it. */
  unit: '°' | '′';
  /** Values at full deflection and between labelled and short marks, in `unit`. */
  full: number;
  labelled: number;
  mark: number;
}

/** From coarse to fine; the unit changes once, at a degree. */
export const scales: readonly Scale[] = [
  { unit: '°', full: 45, labelled: 15, mark: 5 },
  { unit: '°', full: 20, labelled: 10, mark: 2 },
  { unit: '°', full: 10, labelled: 5, mark: 1 },
  { unit: '°', full: 5, labelled: 1, mark: 0.5 },
  { unit: '°', full: 2, labelled: 1, mark: 0.25 },
  { unit: '′', full: 60, labelled: 30, mark: 10 },
  { unit: '′', full: 30, labelled: 10, mark: 5 },
  { unit: '′', full: 10, labelled: 5, mark: 1 },
  { unit: '′', full: 5, labelled: 1, mark: 0.5 },
];

export const fullDeg = ({ unit, full }: Scale): number => (unit === '°' ? full : full / 60);

const shrinkAfterS = 1.5;
/** A finer scale is taken when the reading and its band need at most this much of it. */
const roomForFiner = 0.8;

/** Chooses the scale: wider at once when the needle would leave it, finer only after it has fitted for a while. */
export class ScaleChooser {
  private index = 0;
  private started = false;
  private fitsFinerSinceS: number | undefined;

  get scale(): Scale {
    return scales[this.index];
  }

  /** `sigmaDeg` one standard deviation; the band of two has to find room. */
  offer(errorDeg: number, sigmaDeg: number, nowS: number): Scale {
    const neededDeg = Math.max(Math.abs(errorDeg), 2 * sigmaDeg);
    const wanted = (share: number): number => scales.findLastIndex((scale) => fullDeg(scale) * share >= neededDeg);
    if (!this.started) {
      this.started = true;
      this.index = Math.max(0, wanted(roomForFiner));
      return this.scale;
    }
    if (neededDeg > fullDeg(this.scale)) {
      this.index = Math.max(0, Math.min(wanted(roomForFiner), this.index - 1));
      this.fitsFinerSinceS = undefined;
    } else if (wanted(roomForFiner) > this.index) {
      this.fitsFinerSinceS ??= nowS;
      if (nowS - this.fitsFinerSinceS >= shrinkAfterS) {
        this.index = wanted(roomForFiner);
        this.fitsFinerSinceS = undefined;
      }
    } else {
      this.fitsFinerSinceS = undefined;
    }
    return this.scale;
  }
}
