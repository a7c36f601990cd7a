import type { Feed } from './feed.ts';
import { Instrument } from './instrument.ts';

/** Moves both needles frame by frame while there is something to move, and rests when there is not. */
export class NeedleLoop {
  readonly azimuth = new Instrument('azimuth');
  readonly altitude = new Instrument('altitude');
  private readonly feed: Feed;
  private readonly stillWanted = matchMedia('(prefers-reduced-motion: reduce)');
  private lastMs: number | undefined;
  private running = false;
  private isTruthShown = false;

  constructor(feed: Feed) {
    this.feed = feed;
    feed.onMessage((message) => {
      if (message.kind === 'hello') {
        this.azimuth.faceSouth(message.pole === 'south');
        this.azimuth.allow(message.allowed?.azimuthErrorDeg);
        this.altitude.allow(message.allowed?.altitudeErrorDeg);
      }
      if (message.kind === 'needles') this.aim();
    });
  }

  showTruth(show: boolean): void {
    this.isTruthShown = show;
    this.markTruth();
  }

  private aim(): void {
    const { needles } = this.feed;
    if (!needles) return;
    const nowS = performance.now() / 1000;
    const jump = this.stillWanted.matches;
    if (needles.isOffClip) return;
    const { shown } = needles;
    this.azimuth.aim(needles.azimuthErrorDeg, shown.sigmaAzimuthErrorDeg, nowS, jump);
    this.altitude.aim(needles.altitudeErrorDeg, shown.sigmaAltitudeErrorDeg, nowS, jump);
    if (this.isTruthShown) this.markTruth();
    if (this.running) return;
    this.running = true;
    requestAnimationFrame((ms) => this.frame(ms));
  }

  private markTruth(): void {
    const truth = this.isTruthShown ? this.feed.needles?.truth : undefined;
    this.azimuth.markTruth(truth?.azimuthErrorDeg);
    this.altitude.markTruth(truth?.altitudeErrorDeg);
  }

  private frame(ms: number): void {
    const elapsedS = this.lastMs === undefined ? 1 / 60 : (ms - this.lastMs) / 1000;
    this.lastMs = ms;
    const azimuthMoves = this.azimuth.step(elapsedS);
    const altitudeMoves = this.altitude.step(elapsedS);
    this.running = azimuthMoves || altitudeMoves;
    if (this.running) requestAnimationFrame((next) => this.frame(next));
    else this.lastMs = undefined;
  }
}
