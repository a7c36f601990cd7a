import { coverageOf, SphereCover } from '../../calibration/tumble/coverage.ts';
import { fitTumble } from '../../calibration/tumble/fit.ts';
import type { Coverage, TumbleOptions, TumbleResult } from '../../calibration/tumble/types.ts';
import type { Vector3 } from '../../calibration/vector.ts';
import type { BoardSample } from '../link/boardSample.ts';
import type { Step } from './step.ts';
import { TumbleStore } from './tumbleReservoir.ts';
import { texts } from './words/tumble.ts';

export interface TumbleProgress {
  samples: number;
  /** Readings skipped because the board was shaken. */
  shaken: number;
  elapsedS: number;
  coverage: Coverage;
  /** Enough of the sphere and enough readings: the tumble may be finished. */
  ready: boolean;
  /** What to do now. */
  words: string;
  /** What points up on the board as it is held now, board frame; undefined before the first reading. */
  upNow: Vector3 | undefined;
  /** What is to point up next, as `words` say. */
  upNext: Vector3 | undefined;
}

export interface TumbleOutcome {
  result: TumbleResult;
  /** Mean over the tumble; undefined before the first sample. */
  temperatureC: number | undefined;
}

/** Gravity off by more than this is a shake, not a bias: it can only harm the fit. */
const shakenG = 0.25;
/** Share of the last readings that were shaken, above which the hand is told. */
const tooFast = 0.3;
export const enoughPercent = 95;
export const enoughSamples = 600;
/** An instruction stays this long, that it can be read and followed. */
const holdS = 3;

/** Gathers a tumble and says at any time how to turn the board next. */
export class TumbleStep implements Step<TumbleProgress, TumbleOutcome> {
  private options: TumbleOptions;
  private readonly store = new TumbleStore<BoardSample>();
  private readonly upCover = new SphereCover();
  private fieldCover = new SphereCover();
  /** Where the field's cover was last counted from, and how many readings it holds. */
  private middle: readonly [number, number, number] = [0, 0, 0];
  private firstS: number | undefined;
  private lastS = 0;
  private shaken = 0;
  private shakenLately = 0;
  private temperatureSum = 0;
  private shown: { turn: string; sinceS: number; up: Vector3 | undefined } | undefined;
  private upNow: Vector3 | undefined;

  constructor(options: TumbleOptions = {}) {
    this.options = options;
  }

  offer(sample: BoardSample): void {
    this.firstS ??= sample.boardS;
    this.lastS = sample.boardS;
    this.upNow = sample.accelG;
    const isShaken = !(Math.abs(Math.hypot(...sample.accelG) - 1) <= shakenG);
    this.shakenLately += ((isShaken ? 1 : 0) - this.shakenLately) / 50;
    if (isShaken) {
      this.shaken += 1;
      return;
    }
    this.store.offer(sample);
    this.temperatureSum += sample.temperatureC ?? NaN;
    this.upCover.add(...sample.accelG);
    const [x, y, z] = this.middle;
    this.fieldCover.add(sample.fieldNt[0] - x, sample.fieldNt[1] - y, sample.fieldNt[2] - z);
  }

  progress(): TumbleProgress {
    this.recentre();
    const coverage = coverageOf(this.upCover, this.fieldCover);
    const samples = this.store.offered;
    const ready = coverage.percent >= enoughPercent && samples >= enoughSamples;
    const next = this.held(coverage.nextTurn, coverage.nextUp) ?? (ready ? texts.covered : texts.goOn);
    return {
      samples,
      shaken: this.shaken,
      elapsedS: this.firstS === undefined ? 0 : this.lastS - this.firstS,
      coverage,
      ready,
      upNow: this.upNow,
      upNext: this.shown?.up,
      words: this.shakenLately > tooFast ? texts.moreGently(next) : next,
    };
  }

  /** From now on, and for all that was gathered, another site holds. */
  judgeBy(options: TumbleOptions): void {
    this.options = options;
  }

  finish(): TumbleOutcome {
    const count = this.store.offered;
    return {
      result: fitTumble(this.store.samples(), this.options),
      temperatureC: count > 0 && !Number.isNaN(this.temperatureSum) ? this.temperatureSum / count : undefined,
    };
  }

  /** Another side is asked for only after the one before could be followed. */
  private held(turn: string | undefined, up: Vector3 | undefined): string | undefined {
    if (turn === undefined) this.shown = undefined;
    else if (this.shown === undefined || this.lastS - this.shown.sinceS >= holdS)
      this.shown = { turn, up, sinceS: this.shown?.turn === turn ? this.shown.sinceS : this.lastS };
    return this.shown?.turn;
  }

  /** The middle of the field moves while the first turns are made: what was covered is then counted anew. */
  private recentre(): void {
    const middle = this.store.fieldMiddle();
    const moved = Math.hypot(...middle.map((value, k) => value - this.middle[k]));
    if (moved < 2000) return;
    this.middle = middle;
    this.fieldCover = new SphereCover();
    const samples = this.store.samples();
    const every = Math.max(1, Math.floor(samples.length / 2000));
    for (let i = 0; i < samples.length; i += every) {
      const { fieldNt: f } = samples[i];
      this.fieldCover.add(f[0] - middle[0], f[1] - middle[1], f[2] - middle[2]);
    }
  }
}
