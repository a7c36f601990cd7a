import { needleStepRad } from '../../calibration/answer.ts';
import { arcminute, degree } from '../../calibration/angle.ts';
import { lockAhead, type AxisKnown } from '../../calibration/nudge/ahead.ts';
import { habitOf, type SeenShift } from '../../calibration/nudge/habit.ts';
import { bandSigmas, sideWords } from '../words/reading.ts';
import { texts } from './words/lock.ts';

/** A nudge on a star, with its reading before and after, and the needles beside it (medians of virtual nights). */
export const readCovariance = [needleStepRad.altitude ** 2, 0, 0, arcminute ** 2] as const;

const shiftsWords = (altitudeRad: number, azimuthRad: number, bandRad: number): string =>
  `${sideWords('altitude', altitudeRad / degree, bandRad / degree)} and ${sideWords('azimuth', azimuthRad / degree, bandRad / degree)}`;

/** What locking, or the load of this name, did last times, and where to stand off before; empty while it was never seen. */
export function lockHabitWords(seen: readonly SeenShift[], load?: string): string[] {
  if (seen.length === 0) return [];
  const { altitudeShiftRad: altitude, azimuthShiftRad: azimuth, scatterRad } = habitOf(seen);
  const band = bandSigmas * Math.max(scatterRad.altitude, scatterRad.azimuth);
  const times = seen.length === 1 ? 'once' : `${seen.length} times`;
  const [shifts, opposite] = [shiftsWords(altitude, azimuth, band), shiftsWords(-altitude, -azimuth, band)];
  const bandArcmin = (band / arcminute).toFixed(0);
  return load === undefined
    ? [texts.lockHabit(shifts, times, bandArcmin), texts.beforeLock(opposite)]
    : [texts.loadHabit(load, shifts, times, bandArcmin), texts.beforeLoad(load, opposite)];
}

/** After locking: correct or leave, whichever is expected to end nearer to the pole. */
export function lockAheadWords(axis: AxisKnown, seen: readonly SeenShift[], latitudeRad: number): string {
  const { nowRad, afterRad, isNearer } = lockAhead(axis, habitOf(seen), readCovariance, latitudeRad);
  const expected = texts.expected((nowRad / arcminute).toFixed(1), (afterRad / arcminute).toFixed(1));
  return isNearer ? texts.lockAgain(expected) : texts.leaveBolts(expected);
}
