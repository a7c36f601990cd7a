import { z } from 'zod';
import { nudgesRead, type AxisEstimate, type MovedSince } from '../../calibration/answer.ts';
import { degree } from '../../calibration/angle.ts';
import { storePath } from '../store/folder.ts';
import { readJsonFile, saveJsonFile } from '../store/jsonFile.ts';

const errorDeg = z.number().min(-180).max(180);

const estimateEntry = z.strictObject({
  kind: z.enum(['compass', 'sights', 'drift', 'sun']),
  timeUtc: z.iso.datetime(),
  altitudeErrorDeg: errorDeg,
  azimuthErrorDeg: errorDeg,
  sigmaAltitudeErrorDeg: z.number().positive(),
  sigmaAzimuthErrorDeg: z.number().positive(),
  correlation: z.number().min(-1).max(1),
  /** The compass rung is already in it. */
  restsOnCompass: z.boolean().optional(),
  /** What was measured before does not count beside it: it is already in it, or was given up. */
  replacesEarlier: z.boolean().optional(),
  words: z.string().max(500).optional(),
});

const nudgeEntry = z.strictObject({
  kind: z.literal('nudge'),
  timeUtc: z.iso.datetime(),
  altitudeShiftDeg: errorDeg,
  azimuthShiftDeg: errorDeg,
  /** Since the nudge before: from its last reading of the needles to the first of this one; absent: long. */
  restedS: z.number().nonnegative().optional(),
  /** What moved the axis, and by what it was read; absent: the bolts, by the needles. */
  by: z.enum(['star', 'locking', 'load']).optional(),
  /** How well the shift is known where it was not read off the needles; all three or none. */
  sigmaAltitudeShiftDeg: z.number().positive().optional(),
  sigmaAzimuthShiftDeg: z.number().positive().optional(),
  shiftCorrelation: z.number().min(-1).max(1).optional(),
  /** What moved the axis, where it was not the bolts alone. */
  words: z.string().max(500).optional(),
});

const noteEntry = z.strictObject({
  kind: z.literal('note'),
  timeUtc: z.iso.datetime(),
  words: z.string().max(500),
  /** What was measured before counts no more. */
  replacesEarlier: z.boolean().optional(),
});

const entry = z.discriminatedUnion('kind', [estimateEntry, nudgeEntry, noteEntry]);
export type NightEntry = z.infer<typeof entry>;
export type NudgeEntry = z.infer<typeof nudgeEntry>;

const nightFile = z.strictObject({ schema: z.literal(1), entries: z.array(entry).max(2000) });

const nightPath = (): string => storePath('night.json');
/** Entries older than this belong to another night. */
const nightHours = 16;

const isOfTonight =
  (now: Date) =>
  ({ timeUtc }: NightEntry): boolean =>
    now.getTime() - Date.parse(timeUtc) < nightHours * 3_600_000;

/** All that was kept since this night began, oldest first. */
export async function loadNight(now = new Date()): Promise<NightEntry[]> {
  const saved = await readJsonFile(nightPath(), nightFile);
  return (saved?.entries ?? []).filter(isOfTonight(now));
}

/** Adds to the log of this night; the first entry of a new night begins a new file, the old one stays as `night.json.old`. */
export async function keepInNight(added: NightEntry): Promise<void> {
  const entries = await loadNight(new Date(added.timeUtc));
  await saveJsonFile(nightPath(), { schema: 1, entries: [...entries, added] });
}

/** What an entry may say beside the measurement. */
export type EntryMore = Pick<z.infer<typeof estimateEntry>, 'restsOnCompass' | 'replacesEarlier' | 'words'>;

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

/** Keeps one measurement of the polar axis. */
export const keepEstimate = (estimate: AxisEstimate, more: EntryMore = {}): Promise<void> =>
  keepInNight(entryOf(estimate, more));

/** A shift whose own error is known adds that; one that was read off the needles counts as one more reading of them. */
function movedBy(made: NudgeEntry, before: MovedSince = { altitudeRad: 0, azimuthRad: 0, nudges: 0 }): MovedSince {
  const own = shiftCovarianceOf(made);
  const isFirst = before.nudges === 0;
  return {
    altitudeRad: before.altitudeRad + made.altitudeShiftDeg * degree,
    azimuthRad: before.azimuthRad + made.azimuthShiftDeg * degree,
    nudges: own ? before.nudges : before.nudges + (isFirst ? 1 : nudgesRead(made.restedS ?? Infinity)),
    ...((own ?? before.covariance) && { covariance: sumOf(own, before.covariance) }),
  };
}

type Matrix2 = readonly [number, number, number, number];
const none: Matrix2 = [0, 0, 0, 0];
const sumOf = (a: Matrix2 = none, b: Matrix2 = none): Matrix2 => [a[0] + b[0], a[1] + b[1], a[2] + b[2], a[3] + b[3]];

/** Of the shift itself, row-major 2 x 2 of altitude and azimuth; undefined where it was read off the needles. */
export function shiftCovarianceOf({
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
