import { answerOf, nudgesRead, type Answer, type AxisEstimate, type MovedSince } from '../../calibration/answer.ts';
import { degree } from '../../calibration/angle.ts';
import type { Matrix2 } from '../../calibration/matrix2.ts';
import type { SeenShift } from '../../calibration/nudge/habit.ts';
import type { EntryMore, NightEntry, NudgeEntry } from './nightEntry.ts';

/** One measurement of the polar axis as the log keeps it; correlations of one are drawn in a little so that a covariance stays invertible. */
export function entryOf({ kind, utcMs, ...estimate }: AxisEstimate, more: EntryMore = {}): NightEntry {
  const [altitude, between, , azimuth] = estimate.axisCovariance;
  const correlation = between / Math.sqrt(altitude * azimuth);
  return {
    kind,
    timeUtc: new Date(utcMs).toISOString(),
    altitudeErrorDeg: estimate.altitudeErrorRad / degree,
    azimuthErrorDeg: estimate.azimuthErrorRad / degree,
    sigmaAltitudeErrorDeg: Math.sqrt(altitude) / degree,
    sigmaAzimuthErrorDeg: Math.sqrt(azimuth) / degree,
    correlation: Math.max(-0.9999, Math.min(0.9999, correlation)),
    ...more,
  };
}

/**
 * A shift whose own error is known adds that, unless it goes on from the reading before: two differences of three readings err
 * together by the first and the last. One that was read off the needles counts as one more reading of them.
 */
function movedBy(made: NudgeEntry, before: MovedSince = { altitudeRad: 0, azimuthRad: 0, nudges: 0 }): MovedSince {
  const own = shiftCovarianceOf(made);
  const isFirst = before.nudges === 0;
  return {
    altitudeRad: before.altitudeRad + made.altitudeShiftDeg * degree,
    azimuthRad: before.azimuthRad + made.azimuthShiftDeg * degree,
    nudges: own ? before.nudges : before.nudges + (isFirst ? 1 : nudgesRead(made.restedS ?? Infinity)),
    ...((own ?? before.covariance) && {
      covariance: made.goesOn && before.covariance ? before.covariance : sumOf(own, before.covariance),
    }),
  };
}

const none: Matrix2 = [0, 0, 0, 0];
const sumOf = (a: Matrix2 = none, b: Matrix2 = none): Matrix2 => [a[0] + b[0], a[1] + b[1], a[2] + b[2], a[3] + b[3]];

/** Of the shift itself, row-major 2 x 2 of altitude and azimuth; undefined where it was read off the needles. */
function shiftCovarianceOf({
  sigmaAltitudeShiftDeg: altitude,
  sigmaAzimuthShiftDeg: azimuth,
  shiftCorrelation = 0,
}: NudgeEntry): Matrix2 | undefined {
  if (altitude === undefined || azimuth === undefined) return undefined;
  const [a, z] = [altitude * degree, azimuth * degree];
  return [a * a, shiftCorrelation * a * z, shiftCorrelation * a * z, z * z];
}

/** The fields of a shift that is known with a covariance of its own. */
export const shiftFields = (covariance: Matrix2): Partial<NudgeEntry> => ({
  sigmaAltitudeShiftDeg: Math.sqrt(covariance[0]) / degree,
  sigmaAzimuthShiftDeg: Math.sqrt(covariance[3]) / degree,
  shiftCorrelation: Math.max(-0.9999, Math.min(0.9999, covariance[1] / Math.sqrt(covariance[0] * covariance[3]))),
});

/**
 * The measurements of the night for `answerOf`: of each kind the last one, because it rests on all that was taken
 * before, each with the nudges since.
 */
export function estimatesOf(entries: readonly NightEntry[]): AxisEstimate[] {
  const latest = new Map<AxisEstimate['kind'], AxisEstimate>();
  for (const made of entries) {
    if (made.kind === 'note') {
      if (made.replacesEarlier) latest.clear();
      continue;
    }
    if (made.kind === 'nudge') {
      for (const estimate of latest.values()) {
        estimate.movedSince = movedBy(made, estimate.movedSince);
      }
      continue;
    }
    if (made.replacesEarlier) latest.clear();
    else if (made.restsOnCompass) latest.delete('compass');
    const [altitude, azimuth] = [made.sigmaAltitudeErrorDeg * degree, made.sigmaAzimuthErrorDeg * degree];
    const between = made.correlation * altitude * azimuth;
    latest.set(made.kind, {
      kind: made.kind,
      utcMs: Date.parse(made.timeUtc),
      altitudeErrorRad: made.altitudeErrorDeg * degree,
      azimuthErrorRad: made.azimuthErrorDeg * degree,
      axisCovariance: [altitude ** 2, between, between, azimuth ** 2],
    });
  }
  return [...latest.values()];
}

/** Everything in `entries`, carried to `nowMs`; undefined before the first measurement. */
export function answerFrom(entries: readonly NightEntry[], latitudeRad: number, nowMs: number): Answer | undefined {
  const estimates = estimatesOf(entries);
  return estimates.length > 0 ? answerOf(estimates, latitudeRad, nowMs) : undefined;
}

/** A shift that was measured by itself, with a covariance of its own, as the log keeps it. */
export const shiftEntry = (
  { altitudeShiftRad, azimuthShiftRad, covariance }: SeenShift,
  by: NonNullable<NudgeEntry['by']>,
  utc: Date,
  words: string,
): NudgeEntry => ({
  kind: 'nudge',
  by,
  timeUtc: utc.toISOString(),
  altitudeShiftDeg: altitudeShiftRad / degree,
  azimuthShiftDeg: azimuthShiftRad / degree,
  ...shiftFields(covariance),
  words,
});
