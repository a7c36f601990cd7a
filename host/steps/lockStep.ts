import type { AxisModel } from '../../calibration/axisModel.ts';
import { degree } from '../../calibration/angle.ts';
import { lockShift, type LockShift } from '../../calibration/lock.ts';
import type { TimedReading } from '../../calibration/swing/timedReading.ts';
import { LatestRest } from '../../calibration/swing/latestRest.ts';
import type { Dwell } from '../../calibration/swing/types.ts';
import { exitCode, Failure } from '../failure.ts';
import { restWords } from '../words/rest.ts';
import { bandSigmas, giveOrTake, plainAngle, readingWords, sideOf, type Axis } from '../words/reading.ts';
import type { Step } from './step.ts';

/** Setting the axis off finer than half an arcminute before locking is in vain. */
const shownDeg = 1 / 60;

export interface LockProgress {
  /** The rest before locking has been kept. */
  isBeforeKept: boolean;
  restCounts: boolean;
  instruction: string;
}

/** What locking does: a rest before, the bolts tightened, a rest after; the right-ascension axis stays where it is. */
export class LockStep implements Step<LockProgress, LockShift> {
  private readonly model: AxisModel;
  private readonly hemisphere: 'north' | 'south';
  private before: Dwell | undefined;
  private readonly rest = new LatestRest();

  constructor(model: AxisModel, hemisphere: 'north' | 'south') {
    this.model = model;
    this.hemisphere = hemisphere;
  }

  offer(sample: TimedReading): void {
    this.rest.offer(sample);
  }

  /** The user begins to tighten. Throws Failure while the rest before is too short. */
  locking(): void {
    this.before = this.last('before');
    this.rest.startAnew();
  }

  progress(): LockProgress {
    const restCounts = this.rest.isLong();
    return {
      isBeforeKept: this.before !== undefined,
      restCounts,
      instruction: this.before
        ? restCounts
          ? 'Enough. Finish here.'
          : 'Tighten the bolts evenly, then take the hands off. Mind your fingers at the latitude bolt under load.'
        : restCounts
          ? 'Now lock the bolts.'
          : `Hands off the mount for ${restWords(this.rest.wantedS)} before locking.`,
    };
  }

  /** Throws Failure while the mount still moves; the rest before locking is kept. */
  finish(): LockShift {
    const { before } = this;
    if (!before)
      throw new Failure(exitCode.refused, 'There is no rest before locking.', 'Loosen, let it rest, lock again.');
    return lockShift(this.model, before, this.last('after'), this.hemisphere);
  }

  private last(when: string): Dwell {
    const dwell = this.rest.dwell();
    if (dwell) return dwell;
    throw new Failure(
      exitCode.refused,
      `The mount has not come to rest ${when} locking.`,
      `Take the hands off it for ${restWords(this.rest.wantedS)}, then say so again.`,
    );
  }
}

/** In either direction: the azimuth is known far less well, and both together would hide a clear shift of the altitude. */
export function isShiftSeen(shift: LockShift): boolean {
  const { altitudeShiftRad, sigmaAltitudeShiftRad, azimuthShiftRad, sigmaAzimuthShiftRad } = shift;
  return (
    Math.abs(altitudeShiftRad) > bandSigmas * sigmaAltitudeShiftRad ||
    Math.abs(azimuthShiftRad) > bandSigmas * sigmaAzimuthShiftRad
  );
}

/** "Locking moved the axis 3′ high, give or take 2′, and 1′ east, give or take 20′." */
export function lockWords(shift: LockShift): string {
  const part = (axis: Axis, rad: number, sigmaRad: number): string =>
    `${readingWords(axis, rad / degree, sigmaRad / degree, '′')}, ${giveOrTake(sigmaRad / degree, '′')}`;
  const altitude = part('altitude', shift.altitudeShiftRad, shift.sigmaAltitudeShiftRad);
  const azimuth = part('azimuth', shift.azimuthShiftRad, shift.sigmaAzimuthShiftRad);
  return isShiftSeen(shift)
    ? `Locking moved the axis: ${altitude}; ${azimuth}. ${againWords(shift)}`
    : `Locking moved the axis by no more than can be told (${altitude}; ${azimuth}).`;
}

/** Before the bolts are locked anew, the axis is set off by as much the other way. */
function againWords({ altitudeShiftRad, azimuthShiftRad }: LockShift): string {
  const [altitude, azimuth] = [-altitudeShiftRad / degree, -azimuthShiftRad / degree];
  const set = `${plainAngle(altitude, shownDeg)} ${sideOf('altitude', altitude)} and ${plainAngle(azimuth, shownDeg)} ${sideOf('azimuth', azimuth)}`;
  return `If that is too far: loosen, nudge to ${set}, lock again.`;
}
