import type { AxisModel } from '../../calibration/axisModel.ts';
import { degree } from '../../calibration/angle.ts';
import { lockShift, type LockShift } from '../../calibration/lock.ts';
import type { TimedReading } from '../../calibration/swing/timedReading.ts';
import { LatestRest } from '../../calibration/swing/latestRest.ts';
import type { Dwell } from '../../calibration/swing/types.ts';
import { exitCode, Failure } from '../failure.ts';
import { cautions } from '../words/cautions.ts';
import { restWords } from '../words/rest.ts';
import { bandSigmas, giveOrTake, plainAngle, readingWords, sideOf, type Axis } from '../words/reading.ts';
import type { Step } from './step.ts';

/** Setting the axis off finer than half an arcminute before locking is in vain. */
const shownDeg = 1 / 60;

interface LockProgress {
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
          : `${cautions.fingers} Tighten the bolts evenly, then take the hands off.`
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

const partOf = (axis: Axis, shift: LockShift): { rad: number; sigmaRad: number } =>
  axis === 'altitude'
    ? { rad: shift.altitudeShiftRad, sigmaRad: shift.sigmaAltitudeShiftRad }
    : { rad: shift.azimuthShiftRad, sigmaRad: shift.sigmaAzimuthShiftRad };

/** The axes whose shift is beyond its give or take; of the others nothing is to be corrected. */
const axesSeen = (shift: LockShift): Axis[] =>
  (['altitude', 'azimuth'] as const).filter((axis) => {
    const { rad, sigmaRad } = partOf(axis, shift);
    return Math.abs(rad) > bandSigmas * sigmaRad;
  });

/** In either direction: the azimuth is known far less well, and both together would hide a clear shift of the altitude. */
export const isShiftSeen = (shift: LockShift): boolean => axesSeen(shift).length > 0;

/** `Locking moved the axis 3′ high, give or take 2′. No measurable shift in azimuth (1′ east, give or take 20′).` */
export function lockWords(shift: LockShift): string {
  const seen = axesSeen(shift);
  const words = (axis: Axis): string => {
    const { rad, sigmaRad } = partOf(axis, shift);
    return `${readingWords(axis, rad / degree, sigmaRad / degree, '′')}, ${giveOrTake(sigmaRad / degree, '′')}`;
  };
  const unseen = (['altitude', 'azimuth'] as const).filter((axis) => !seen.includes(axis));
  if (seen.length === 0) return `Locking: no measurable shift (${unseen.map(words).join('; ')}).`;
  return [
    `Locking moved the axis ${seen.map(words).join('; ')}.`,
    ...unseen.map((axis) => `No measurable shift in ${axis} (${words(axis)}).`),
    againWords(shift, seen),
  ].join(' ');
}

/** Before the bolts are locked anew, the axis is set off by as much the other way. */
function againWords(shift: LockShift, seen: readonly Axis[]): string {
  const set = seen.map((axis) => {
    const wantedDeg = -partOf(axis, shift).rad / degree;
    return `${plainAngle(wantedDeg, shownDeg)} ${sideOf(axis, wantedDeg)}`;
  });
  return `If that is too far: loosen, nudge to ${set.join(' and ')}, lock again.`;
}
