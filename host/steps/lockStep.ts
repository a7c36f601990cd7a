import type { AxisModel } from '../../calibration/axisModel.ts';
import { degree } from '../../calibration/angle.ts';
import { lockShift, type LockShift } from '../../calibration/lock.ts';
import type { SeenShift } from '../../calibration/nudge/habit.ts';
import type { TimedReading } from '../../calibration/swing/timedReading.ts';
import { LatestRest } from '../../calibration/swing/latestRest.ts';
import type { Dwell } from '../../calibration/swing/types.ts';
import { exitCode, Failure } from '../failure.ts';
import { cautions } from '../words/cautions.ts';
import { restWords } from '../words/rest.ts';
import { bandSigmas, fullReading, plainAngle, sideOf, type Axis } from '../words/reading.ts';
import type { Step } from './step.ts';
import { texts } from './words/lock.ts';

/** Setting the axis off finer than half an arcminute before locking is in vain. */
const shownDeg = 1 / 60;

interface LockProgress {
  /** The rest before locking has been kept. */
  isBeforeKept: boolean;
  restCounts: boolean;
  instruction: string;
}

/** What moves the axis between the two rests. */
type ShiftBy = 'locking' | 'load';

const doing: Record<ShiftBy, { now: string; meanwhile: string; before: string; after: string }> = {
  locking: {
    now: texts.lockNow,
    meanwhile: texts.tighten(cautions.fingers),
    before: 'before locking',
    after: 'after locking',
  },
  load: {
    now: texts.loadNow,
    meanwhile: texts.putOn,
    before: 'before the load goes on',
    after: 'after the load went on',
  },
};

/** What locking, or a load, does: a rest before, the bolts tightened or the load put on, a rest after; the right-ascension axis stays where it is. */
export class LockStep implements Step<LockProgress, LockShift> {
  private readonly model: AxisModel;
  private readonly hemisphere: 'north' | 'south';
  private readonly by: ShiftBy;
  private before: Dwell | undefined;
  private readonly rest = new LatestRest();

  constructor(model: AxisModel, hemisphere: 'north' | 'south', by: ShiftBy = 'locking') {
    this.model = model;
    this.hemisphere = hemisphere;
    this.by = by;
  }

  offer(sample: TimedReading): void {
    this.rest.offer(sample);
  }

  /** The user begins to tighten, or to put the load on. Throws Failure while the rest before is too short. */
  locking(): void {
    this.before = this.last(doing[this.by].before);
    this.rest.startAnew();
  }

  progress(): LockProgress {
    const restCounts = this.rest.isLong();
    const { now, meanwhile, before } = doing[this.by];
    return {
      isBeforeKept: this.before !== undefined,
      restCounts,
      instruction: this.before
        ? restCounts
          ? texts.finish
          : meanwhile
        : restCounts
          ? now
          : texts.handsOff(restWords(this.rest.wantedS), before),
    };
  }

  /** Throws Failure while the mount still moves; the rest before locking is kept. */
  finish(): LockShift {
    const { before } = this;
    if (!before)
      throw new Failure(
        exitCode.refused,
        `There is no rest ${doing[this.by].before}.`,
        this.by === 'locking'
          ? 'Loosen the bolts, let the mount rest, and lock again.'
          : 'Take the load off, let the mount rest, and put the load on again.',
      );
    return lockShift(this.model, before, this.last(doing[this.by].after), this.hemisphere);
  }

  private last(when: string): Dwell {
    const dwell = this.rest.dwell();
    if (dwell) return dwell;
    throw new Failure(
      exitCode.refused,
      `The mount has not come to rest ${when}.`,
      `Take the hands off it for ${restWords(this.rest.wantedS)}, then press again.`,
    );
  }
}

/** The board's shift with its covariance, as the log and the mount remember one. */
export const seenOf = (shift: LockShift): SeenShift => ({
  altitudeShiftRad: shift.altitudeShiftRad,
  azimuthShiftRad: shift.azimuthShiftRad,
  covariance: [shift.sigmaAltitudeShiftRad ** 2, 0, 0, shift.sigmaAzimuthShiftRad ** 2],
});

/** The other way round: a shift that was read with a covariance of its own, as the board's is told. */
export function shiftOf({ altitudeShiftRad, azimuthShiftRad, covariance }: SeenShift, latitudeRad: number): LockShift {
  const level = Math.cos(latitudeRad);
  const across = azimuthShiftRad * level;
  const distanceRad = Math.hypot(altitudeShiftRad, across);
  const [a, b] =
    distanceRad > 0 ? [altitudeShiftRad / distanceRad, across / distanceRad] : [Math.SQRT1_2, Math.SQRT1_2];
  const [altitude, between, , azimuth] = covariance;
  return {
    altitudeShiftRad,
    azimuthShiftRad,
    distanceRad,
    sigmaAltitudeShiftRad: Math.sqrt(altitude),
    sigmaAzimuthShiftRad: Math.sqrt(azimuth),
    sigmaDistanceRad: Math.sqrt(a * a * altitude + 2 * a * b * level * between + (b * level) ** 2 * azimuth),
  };
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

const shiftName: Record<ShiftBy, string> = { locking: texts.locking, load: texts.theLoad };

/** `Locking moved the axis 3′ high, give or take 2′. No measurable shift in azimuth (1′ east, give or take 20′).` */
export function lockWords(shift: LockShift, by: ShiftBy = 'locking'): string {
  const seen = axesSeen(shift);
  const words = (axis: Axis): string => {
    const { rad, sigmaRad } = partOf(axis, shift);
    return fullReading(axis, rad / degree, sigmaRad / degree, '′');
  };
  const unseen = (['altitude', 'azimuth'] as const).filter((axis) => !seen.includes(axis));
  if (seen.length === 0) return texts.noShift(shiftName[by], unseen.map(words).join('; '));
  return [
    texts.moved(shiftName[by], seen.map(words).join('; ')),
    ...unseen.map((axis) => texts.noShiftIn(axis, words(axis))),
    againWords(shift, seen, by),
  ].join(' ');
}

/** Before the bolts are locked anew, or the load goes on again, the axis is set off by as much the other way. */
function againWords(shift: LockShift, seen: readonly Axis[], by: ShiftBy): string {
  const set = seen.map((axis) => {
    const wantedDeg = -partOf(axis, shift).rad / degree;
    return `${plainAngle(wantedDeg, shownDeg)} ${sideOf(axis, wantedDeg)}`;
  });
  return by === 'locking' ? texts.ifTooFar(set.join(' and ')) : texts.answerIncludesIt;
}
