import type { AxisModel } from '../../calibration/axisModel.ts';
import { LiveEstimator, type Anchor, type Target } from '../../calibration/live/estimator.ts';
import { Listeners } from '../link/listeners.ts';
import type { BoardSample } from '../link/boardSample.ts';
import { OffClipWatch } from './offClipWatch.ts';
import type { Needles } from './session.ts';
import { ShownFigures } from './shownFigures.ts';

/** A sample older than this many of its usual intervals makes the needles stale, but never one younger than `leastStaleS`. */
const stalePeriods = 5;
const leastStaleS = 0.5;
/** The same until an interval is known: a board may send one sample a second. */
const firstStaleS = 1.5;
const checkMs = 100;
/** A stale needle is told again this often, so that a view that joins late knows. */
const tellStaleS = 0.5;
/** Intervals that the usual one is the median of. */
const remembered = 31;

const nowS = (): number => performance.now() / 1000;

/**
 * Samples in, needles out, one for one; and on its own clock the word that they have grown stale, so that a dead link shows.
 * Remembers nothing but the last needle.
 */
export class NeedleStream {
  readonly listeners = new Listeners<Needles>();
  private target: Target | undefined;
  private readonly truth: (() => Needles['truth']) | undefined;
  private model: AxisModel | undefined;
  private estimator: LiveEstimator | undefined;
  private current: Needles | undefined;
  private readonly shown = new ShownFigures();
  private readonly offClip = new OffClipWatch();
  private isAnchored = false;
  private readonly intervals = new Float64Array(remembered);
  private intervalCount = 0;
  private previousBoardS = NaN;
  private checkedS = nowS();
  private hasGivenTurn = false;
  private readonly utcOf: ((boardS: number) => number) | undefined;
  private toldStaleS = -Infinity;
  private readonly timer: NodeJS.Timeout;

  /** @param utcOf when a sample of a recording was taken, milliseconds; the samples of a board are taken now */
  constructor(target: Target | undefined, truth?: () => Needles['truth'], utcOf?: (boardS: number) => number) {
    this.target = target;
    this.utcOf = utcOf;
    this.truth = truth;
    this.timer = setInterval(() => this.check(nowS()), checkMs);
    this.timer.unref();
  }

  /** No needle is shown before the first model, nor before the target is known. */
  use(model: AxisModel): void {
    this.model = model;
    this.estimator = this.target && new LiveEstimator(model, this.target);
    this.shown.renew();
    this.isAnchored = false;
  }

  /** Another target: what was shown against the one before is no reading any more, and the filter starts afresh. */
  aimAt(target: Target | undefined): void {
    this.target = target;
    this.current = undefined;
    if (this.model) this.use(this.model);
  }

  anchorTo(known: Anchor | undefined): void {
    if (known) this.estimator?.anchorTo(known);
    else this.estimator?.release();
    this.isAnchored = known !== undefined && this.estimator !== undefined;
    this.shown.renew();
  }

  takeBoard(isTaken: boolean): void {
    this.offClip.take(isTaken);
  }

  latest(): Needles | undefined {
    return this.current;
  }

  offer(sample: BoardSample): void {
    this.noteInterval(sample.boardS);
    const estimate = this.estimator?.offer(sample);
    if (!estimate) return;
    const shown = this.shown.offer(estimate, sample.boardS);
    this.current = {
      utcMs: this.utcOf ? this.utcOf(sample.boardS) : Date.now(),
      arrivalS: sample.arrivalS,
      altitudeErrorRad: estimate.altitudeErrorRad,
      azimuthErrorRad: estimate.azimuthErrorRad,
      distanceRad: estimate.distanceRad,
      sigmaAltitudeErrorRad: estimate.sigmaAltitudeErrorRad,
      sigmaAzimuthErrorRad: estimate.sigmaAzimuthErrorRad,
      sigmaDistanceRad: estimate.sigmaDistanceRad,
      state: estimate.state,
      shown,
      isOffClip: this.offClip.offer(shown, estimate.state, sample.boardS),
      isAnchored: this.isAnchored,
      fieldDeviationSigmas: estimate.fieldDeviationSigmas,
      temperatureC: sample.temperatureC,
      truth: this.truth?.(),
    };
    this.listeners.emit(this.current);
  }

  /** Seconds without a sample after which the needles are stale. */
  staleAfterS(): number {
    if (this.intervalCount === 0) return firstStaleS;
    const known = this.intervals.slice(0, Math.min(this.intervalCount, remembered)).sort();
    return Math.max(stalePeriods * known[known.length >> 1], leastStaleS);
  }

  close(): void {
    clearInterval(this.timer);
    this.listeners.clear();
  }

  private noteInterval(boardS: number): void {
    const intervalS = boardS - this.previousBoardS;
    this.previousBoardS = boardS;
    if (!(intervalS > 0)) return;
    this.intervals[this.intervalCount % remembered] = intervalS;
    this.intervalCount += 1;
  }

  private check(now: number): void {
    // when this very process was held up, samples wait unread: give them their turn first, but one only, for it may always be late
    const givesTurn = now - this.checkedS > leastStaleS / 2 && !this.hasGivenTurn;
    this.checkedS = now;
    this.hasGivenTurn = givesTurn;
    const needles = this.current;
    if (!needles || givesTurn || now - needles.arrivalS < this.staleAfterS()) return;
    if (needles.state === 'stale' && now - this.toldStaleS < tellStaleS) return;
    this.toldStaleS = now;
    this.current = { ...needles, utcMs: this.utcOf ? needles.utcMs : Date.now(), state: 'stale' };
    this.listeners.emit(this.current);
  }
}
