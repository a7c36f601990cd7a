import type { BoardSample } from './boardSample.ts';

/** No step and no needle needs more samples a second; those of a faster board are averaged in groups. */
const fastestHz = 125;

type Triple = [number, number, number];

/** Means of neighbouring samples of a board that is faster than needed; those of any other pass as they are. */
export class SamplesAveraged {
  private readonly size: number;
  private group = NaN;
  private count = 0;
  private boardS = 0;
  private temperatureC = 0;
  private readonly accelG = new Float64Array(3);
  private readonly fieldNt = new Float64Array(3);
  private readonly rateDps = new Float64Array(3);
  private hasRate = false;

  /** @param sampleHz samples a second as the board states them */
  constructor(sampleHz: number) {
    this.size = Math.ceil(sampleHz / fastestHz);
  }

  /** The mean of a group that this sample completes, or of the one before where its last samples were lost. */
  offer(sample: BoardSample): BoardSample | undefined {
    if (this.size === 1) return sample;
    const group = Math.floor(sample.sequence / this.size);
    const unfinished = group !== this.group && this.count > 0 ? this.mean(sample.arrivalS) : undefined;
    this.group = group;
    this.add(sample);
    return this.count === this.size ? this.mean(sample.arrivalS) : unfinished;
  }

  private add({ boardS, temperatureC, accelG, fieldNt, rateDps }: BoardSample): void {
    this.count += 1;
    this.boardS += boardS;
    this.temperatureC += temperatureC ?? NaN;
    this.hasRate = rateDps !== undefined;
    for (let i = 0; i < 3; i += 1) {
      this.accelG[i] += accelG[i];
      this.fieldNt[i] += fieldNt[i];
      if (rateDps) this.rateDps[i] += rateDps[i];
    }
  }

  private mean(arrivalS: number): BoardSample {
    const { count } = this;
    const taken = (sums: Float64Array): Triple => {
      const mean: Triple = [sums[0] / count, sums[1] / count, sums[2] / count];
      sums.fill(0);
      return mean;
    };
    const sample: BoardSample = {
      arrivalS,
      boardS: this.boardS / count,
      sequence: this.group,
      accelG: taken(this.accelG),
      fieldNt: taken(this.fieldNt),
    };
    const rateDps = taken(this.rateDps);
    if (this.hasRate) sample.rateDps = rateDps;
    if (!Number.isNaN(this.temperatureC)) sample.temperatureC = this.temperatureC / count;
    this.count = 0;
    this.boardS = 0;
    this.temperatureC = 0;
    return sample;
  }
}
