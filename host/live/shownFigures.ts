import type { LiveEstimate } from '../../calibration/live/estimator.ts';
import type { AxisFigures } from './session.ts';

/** What is shown follows the needles this often while they move, and as often while iron is near, seconds. */
const movingEveryS = 0.2;
const disturbedEveryS = 1;
/** It is followed for this long after motion; it is taken once more when the needle has averaged all that it can; then it is kept this long. */
const settlesS = 2;
const settledS = 7;
const keptS = 10;
/** Kept no longer than the needle stays this near, in sigmas as shown; when it is due again, less than this is no news. */
const mostSigmas = 3;
const newsSigmas = 0.25;
/** So are sigmas that are wider or narrower by less than this factor. */
const newsFactor = 1.15;
/** Doubt that is gone sooner than this is noise, seconds. */
const doubtS = 0.1;

const sigmas = ['sigmaAltitudeErrorRad', 'sigmaAzimuthErrorRad', 'sigmaDistanceRad'] as const;

/** The least that each sigma was over the last one or two windows of `doubtS`. */
class Quietest {
  readonly now = { sigmaAltitudeErrorRad: 0, sigmaAzimuthErrorRad: 0, sigmaDistanceRad: 0 };
  private readonly earlier = { ...this.now };
  private readonly current = { ...this.now };
  private startedS = -Infinity;

  offer(figures: AxisFigures, boardS: number): void {
    const isOver = !(Math.abs(boardS - this.startedS) < doubtS);
    if (isOver) this.startedS = boardS;
    for (const key of sigmas) {
      if (isOver) {
        this.earlier[key] = this.current[key] || figures[key];
        this.current[key] = figures[key];
      }
      this.current[key] = Math.min(this.current[key], figures[key]);
      this.now[key] = Math.min(this.current[key], this.earlier[key]);
    }
  }
}

/**
 * What people read of the needles. In motion it follows them; at rest it is one look at them that is kept, so that figures, scales and
 * sentences do not twitch. Once a look has been kept for long, the next doubt that stays, or the next motion, is shown at once.
 */
export class ShownFigures {
  private shown: AxisFigures | undefined;
  private takenS = 0;
  private restsFromS = 0;
  private readonly quietest = new Quietest();

  /** The needles start from something else. */
  renew(): void {
    this.shown = undefined;
  }

  /** The same object as before while nothing is taken anew. */
  offer(estimate: LiveEstimate, boardS: number): AxisFigures {
    const { quietest } = this;
    quietest.offer(estimate, boardS);
    if (estimate.state !== 'still') this.restsFromS = boardS;
    if (!this.shown || boardS < this.takenS || this.isDue(this.shown, estimate, boardS)) {
      this.takenS = boardS;
      this.shown = this.look(estimate);
    }
    return this.shown;
  }

  private isDue(shown: AxisFigures, estimate: LiveEstimate, boardS: number): boolean {
    const agoS = boardS - this.takenS;
    if (estimate.state === 'disturbed') return agoS >= disturbedEveryS;
    if (boardS - this.restsFromS < settlesS) return agoS >= movingEveryS;
    if (this.departsBy(mostSigmas, shown, estimate)) return true;
    if (boardS - this.restsFromS >= settledS && this.takenS - this.restsFromS < settledS) return true;
    return agoS >= keptS && (this.departsBy(newsSigmas, shown, estimate) || this.isOtherwiseSure(shown));
  }

  private departsBy(most: number, shown: AxisFigures, now: AxisFigures): boolean {
    return (
      Math.abs(now.altitudeErrorRad - shown.altitudeErrorRad) > most * shown.sigmaAltitudeErrorRad ||
      Math.abs(now.azimuthErrorRad - shown.azimuthErrorRad) > most * shown.sigmaAzimuthErrorRad
    );
  }

  private isOtherwiseSure(shown: AxisFigures): boolean {
    const { now } = this.quietest;
    return sigmas.some((key) => now[key] > newsFactor * shown[key] || newsFactor * now[key] < shown[key]);
  }

  /** In motion as the needles are; at rest without doubt that came and went. */
  private look(estimate: LiveEstimate): AxisFigures {
    const { altitudeErrorRad, azimuthErrorRad, distanceRad } = estimate;
    const { sigmaAltitudeErrorRad, sigmaAzimuthErrorRad, sigmaDistanceRad } =
      estimate.state === 'still' ? this.quietest.now : estimate;
    return {
      altitudeErrorRad,
      azimuthErrorRad,
      distanceRad,
      sigmaAltitudeErrorRad,
      sigmaAzimuthErrorRad,
      sigmaDistanceRad,
    };
  }
}
