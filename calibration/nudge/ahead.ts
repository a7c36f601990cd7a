import type { AxisErrors } from '../drift/driftModel.ts';
import { expectedDistanceRad } from './expected.ts';
import type { Habit } from './habit.ts';
import { home } from './starAfter.ts';
import type { Matrix2 } from '../matrix2.ts';

export interface AxisKnown extends AxisErrors {
  /** Row-major 2 x 2 of altitude and azimuth error. */
  axisCovariance: Matrix2;
}

/** What a correction would bring: expected distances from the pole, and where the axis must stand before it is locked. */
interface Ahead {
  nowRad: number;
  afterRad: number;
  /** Only then may it be advised. */
  isNearer: boolean;
  /** Errors to nudge to, the bolts still loose: the opposite of what locking did. */
  standOff: AxisErrors;
}

/**
 * Loosen, nudge off by the opposite of what locking does, lock again. A first locking, of which nothing is known, is looked at and
 * corrected once more: what it does counts not, only what will differ from time to time.
 * @param readCovariance of one nudge as it will be read
 */
export function lockAhead(axis: AxisKnown, habit: Habit, readCovariance: Matrix2, latitudeRad: number): Ahead {
  const { axisCovariance: known, altitudeErrorRad, azimuthErrorRad } = axis;
  const { altitude, azimuth } = habit.scatterRad;
  const [lockAltitude, lockAzimuth] =
    habit.times > 0
      ? [habit.covariance[0], habit.covariance[3]]
      : [altitude ** 2 + readCovariance[0], azimuth ** 2 + readCovariance[3]];
  const nowRad = expectedDistanceRad({ altitudeErrorRad, azimuthErrorRad }, known, latitudeRad);
  const after: Matrix2 = [
    known[0] + readCovariance[0] + lockAltitude,
    0,
    0,
    known[3] + readCovariance[3] + lockAzimuth,
  ];
  const afterRad = expectedDistanceRad(home, after, latitudeRad);
  return {
    nowRad,
    afterRad,
    isNearer: afterRad < nowRad,
    standOff: { altitudeErrorRad: -habit.altitudeShiftRad, azimuthErrorRad: -habit.azimuthShiftRad },
  };
}
