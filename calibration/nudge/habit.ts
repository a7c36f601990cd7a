import { arcminute } from '../angle.ts';
import { inverse2, product2, type Matrix2 } from '../matrix2.ts';

/** A shift of the axis that something did: locking, or the weight of the instrument. */
export interface SeenShift {
  altitudeShiftRad: number;
  azimuthShiftRad: number;
  /** Row-major 2 x 2 of altitude and azimuth shift, as it was measured. */
  covariance: Matrix2;
}

/** What is to be expected of the next time. */
export interface Habit {
  /** How often it was seen; with 0 the shift is expected to be none, give or take what is usual. */
  times: number;
  altitudeShiftRad: number;
  azimuthShiftRad: number;
  /** Of the next shift about this one: what is not known of the habit, and how much it differs from time to time. */
  covariance: Matrix2;
  /** From time to time, one sigma. */
  scatterRad: { altitude: number; azimuth: number };
}

/** What locking, or a load, does to a mount of which nothing is known (assumed); a third of that differs from time to time. */
const usualShiftRad = 5 * arcminute;
const usualScatterRad = usualShiftRad / 3;
/** The usual scatter counts as much as that of five lockings. */
const usualFreedoms = 4;

/**
 * The habit behind the shifts that were seen, each component for itself: the mean by least squares with the usual size as prior,
 * the scatter by the sample's variance beside the usual one (scaled inverse chi-squared; Gelman et al., Bayesian Data Analysis).
 */
export function habitOf(seen: readonly SeenShift[]): Habit {
  const altitude = component(
    seen.map(({ altitudeShiftRad: shiftRad, covariance }) => ({ shiftRad, variance: covariance[0] })),
  );
  const azimuth = component(
    seen.map(({ azimuthShiftRad: shiftRad, covariance }) => ({ shiftRad, variance: covariance[3] })),
  );
  return {
    times: seen.length,
    altitudeShiftRad: altitude.mean,
    azimuthShiftRad: azimuth.mean,
    covariance: [altitude.variance, 0, 0, azimuth.variance],
    scatterRad: { altitude: altitude.scatter, azimuth: azimuth.scatter },
  };
}

function component(seen: readonly { shiftRad: number; variance: number }[]) {
  const plainMean = seen.reduce((sum, { shiftRad }) => sum + shiftRad, 0) / Math.max(seen.length, 1);
  const measured = seen.reduce((sum, { variance }) => sum + variance, 0);
  const squares = seen.reduce((sum, { shiftRad }) => sum + (shiftRad - plainMean) ** 2, 0);
  const own = Math.max(squares - (measured * Math.max(seen.length - 1, 0)) / Math.max(seen.length, 1), 0);
  const scatter2 = (usualFreedoms * usualScatterRad ** 2 + own) / (usualFreedoms + Math.max(seen.length - 1, 0));
  let [weight, weighted] = [1 / usualShiftRad ** 2, 0];
  for (const { shiftRad, variance } of seen) {
    weight += 1 / (variance + scatter2);
    weighted += shiftRad / (variance + scatter2);
  }
  return { mean: weighted / weight, variance: 1 / weight + scatter2, scatter: Math.sqrt(scatter2) };
}

/** Both ways of reading one shift as one; each with its covariance. */
export function fuseShifts(one: SeenShift, other: SeenShift): SeenShift {
  const total = inverse2(sum(one.covariance, other.covariance));
  const gain = product2(one.covariance, total);
  const [altitude, azimuth] = [
    other.altitudeShiftRad - one.altitudeShiftRad,
    other.azimuthShiftRad - one.azimuthShiftRad,
  ];
  const [aa, az, za, zz] = product2(gain, other.covariance);
  return {
    altitudeShiftRad: one.altitudeShiftRad + gain[0] * altitude + gain[1] * azimuth,
    azimuthShiftRad: one.azimuthShiftRad + gain[2] * altitude + gain[3] * azimuth,
    covariance: [aa, (az + za) / 2, (az + za) / 2, zz],
  };
}

const sum = (m: Matrix2, n: Matrix2): Matrix2 => [m[0] + n[0], m[1] + n[1], m[2] + n[2], m[3] + n[3]];
