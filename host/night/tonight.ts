import { needleStepRad, type Answer } from '../../calibration/answer.ts';
import { degree } from '../../calibration/angle.ts';
import type { SeenShift } from '../../calibration/nudge/habit.ts';
import type { Site } from '../site/site.ts';
import { starlight } from '../sky/starlight.ts';
import type { ClippingOptions } from '../store/clipping.ts';
import { swungMs, tumbledMs } from '../store/keptTimes.ts';
import { loadLockings } from '../store/lockings.ts';
import { loadPlan, type Plan } from '../store/plan.ts';
import { loadSite } from '../store/site.ts';
import type { SkyNow, Tonight } from './stepsOfNight.ts';
import type { NightEntry, NudgeEntry } from './nightEntry.ts';
import { answerFrom } from './nightEstimates.ts';
import { loadNight } from './nightFile.ts';

/** A swing that is older than this belongs to another night. */
const nightMs = 18 * 3_600_000;

function skyNow(site: Site, now: Date): SkyNow {
  const { sunAltitudeRad, faintestMagnitude, darkFrom } = starlight(site, now);
  return { hasStars: faintestMagnitude > -Infinity, starsFrom: darkFrom, sunIsUp: sunAltitudeRad > 0 };
}

const timeOf = (entry: NightEntry): number => Date.parse(entry.timeUtc);

/** What locking did, as well as the star or the needles told it. */
function shiftOf(entry: NudgeEntry): SeenShift {
  const { sigmaAltitudeShiftDeg, sigmaAzimuthShiftDeg } = entry;
  const variance = (sigmaDeg: number | undefined, usualRad: number): number =>
    (sigmaDeg === undefined ? usualRad : sigmaDeg * degree) ** 2;
  return {
    altitudeShiftRad: entry.altitudeShiftDeg * degree,
    azimuthShiftRad: entry.azimuthShiftDeg * degree,
    covariance: [
      variance(sigmaAltitudeShiftDeg, needleStepRad.altitude),
      0,
      0,
      variance(sigmaAzimuthShiftDeg, needleStepRad.azimuth),
    ],
  };
}

/** What the log tells of the steps, newest first wins. */
function doneIn(
  entries: readonly NightEntry[],
): Pick<Tonight, 'done' | 'measuredMs' | 'movedMs' | 'lockedMs' | 'loadedMs' | 'lockings'> {
  const lockings: SeenShift[] = [];
  const told: ReturnType<typeof doneIn> = { done: {}, lockings };
  for (const entry of entries) {
    const at = timeOf(entry);
    if (entry.kind === 'note') {
      if (entry.step) told.done[entry.step] = at;
    } else if (entry.kind === 'nudge') {
      if (entry.by === 'locking') {
        told.lockedMs = at;
        lockings.push(shiftOf(entry));
        told.done.lock = at;
      } else if (entry.by === 'load') {
        told.loadedMs = at;
        told.done.load = at;
      } else {
        told.movedMs = at;
        told.done.nudge = at;
      }
    } else if (entry.kind === 'compass') told.done.needles = at;
    else if (entry.kind === 'sun') told.done.sun = at;
    else {
      told.measuredMs = at;
      told.done[entry.kind === 'sights' ? 'sight' : 'drift'] = at;
    }
  }
  return told;
}

/** What `nextStep` goes by, out of what is known in one place: a log, a site, and when board and axis were calibrated. */
export function tonightOf(known: {
  now: Date;
  site?: Site;
  entries: readonly NightEntry[];
  answer?: Answer;
  plan?: Plan;
  tumbledMs?: number;
  swungMs?: number;
  /** What is remembered of this mount; absent: what the log of tonight tells. */
  lockings?: readonly SeenShift[];
}): Tonight {
  const { now, site, entries, answer, plan } = known;
  const { done, lockings, ...moved } = doneIn(entries);
  const isTonight = (ms: number | undefined): ms is number => ms !== undefined && now.getTime() - ms < nightMs;
  return {
    nowMs: now.getTime(),
    ...(site && { latitudeRad: site.latitudeRad, sky: skyNow(site, now) }),
    done: {
      ...done,
      ...(known.tumbledMs !== undefined && { tumble: known.tumbledMs }),
      ...(isTonight(known.swungMs) && { swing: known.swungMs }),
    },
    ...moved,
    lockings: known.lockings?.length ? known.lockings : lockings,
    lockingsTonight: lockings.length,
    answer,
    plan,
  };
}

/** Tonight as it is kept on this computer. Throws Failure where a file cannot be read. */
export async function keptTonight(now = new Date(), clipping: ClippingOptions = {}): Promise<Tonight> {
  const [site, { entries }, plan, tumbled, swung] = await Promise.all([
    loadSite(),
    loadNight(now),
    loadPlan(now),
    tumbledMs(),
    swungMs(),
  ]);
  return tonightOf({
    now,
    site,
    entries,
    plan,
    tumbledMs: tumbled,
    swungMs: swung,
    ...(site && { lockings: await loadLockings(clipping, site) }),
    answer: site && answerFrom(entries, site.latitudeRad, now.getTime()),
  });
}
