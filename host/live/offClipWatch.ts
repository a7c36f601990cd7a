import { degree } from '../../calibration/angle.ts';
import { bandSigmas } from '../words/reading.ts';
import type { AxisFigures, NeedleState } from './session.ts';

/** No mount that is being set up is so far off in altitude: its board lies elsewhere then, on the base or in a hand. */
const mostRad = 20 * degree;
/** Back on its clip is a board that stands no farther off than this, and rests for so long. */
const backRad = 15 * degree;
const backS = 1;

/** Whether the board is off its clip: because a step has taken it, or because its axis stands as no polar axis does. */
export class OffClipWatch {
  private isTaken = false;
  private isOff = false;
  private backSinceS: number | undefined;

  take(isTaken: boolean): void {
    this.isTaken = isTaken;
    if (isTaken) this.isOff = true;
    this.backSinceS = undefined;
  }

  offer(
    { altitudeErrorRad, sigmaAltitudeErrorRad }: Pick<AxisFigures, 'altitudeErrorRad' | 'sigmaAltitudeErrorRad'>,
    state: NeedleState,
    boardS: number,
  ): boolean {
    if (this.isTaken) return true;
    const surelyRad = Math.abs(altitudeErrorRad) - bandSigmas * sigmaAltitudeErrorRad;
    if (surelyRad > mostRad) this.isOff = true;
    if (!this.isOff) return false;
    if (surelyRad > backRad || state === 'moving') this.backSinceS = undefined;
    else this.backSinceS ??= boardS;
    if (this.backSinceS !== undefined && boardS - this.backSinceS >= backS) {
      this.isOff = false;
      this.backSinceS = undefined;
    }
    return this.isOff;
  }
}
