import type { Answer } from '../../calibration/answer.ts';
import { arcminute } from '../../calibration/angle.ts';
import { lockAhead } from '../../calibration/nudge/ahead.ts';
import { habitOf, type SeenShift } from '../../calibration/nudge/habit.ts';
import { shiftEntry } from '../night/nightEstimates.ts';
import { keepInNight } from '../night/nightFile.ts';
import { exitCode, type ExitCode } from '../failure.ts';
import { printJson, printResult, say } from '../output.ts';
import type { Site } from '../site/site.ts';
import { lockAheadWords, lockHabitWords, readCovariance } from '../steps/lockAdvice.ts';
import { lockWords, shiftOf } from '../steps/lockStep.ts';
import { checkName } from '../store/clipping.ts';
import { keepShift, keptLoads, loadShifts, ofMover, type Mover } from '../store/lockings.ts';
import { cautions } from '../words/cautions.ts';
import { rounded } from '../words/figures.ts';
import { wrapped } from '../words/wrapForTerminal.ts';
import { answerTonight, byBoard, byOf, byStar, loadOf, type ShiftOptions } from './measureShift.ts';
import { sayCautions } from './sayCautions.ts';
import { requireSite } from './siteOptions.ts';
import { tellResult } from './tellResult.ts';
import { texts } from './words/shift.ts';

/** The `lock` and `load` commands: what moved the axis, and what to do about it. */
export async function runShift(mover: Mover, options: ShiftOptions): Promise<ExitCode> {
  if (mover !== 'locking') checkName(mover.load, 'a load');
  if (options.list) return listLoads(options);
  if (options.ahead) return tellAhead(mover, options);
  sayCautions(mover === 'locking' ? cautions.fingers : cautions.clutch);
  const { shift, site, star, isReal } =
    options.star === undefined && options.read === undefined
      ? await byBoard(mover, options)
      : await byStar(mover, options);
  const by = byOf(mover);
  const moved = lockWords(shiftOf(shift, site.latitudeRad), by);
  const told = star === undefined ? moved : texts.readOnStar(moved, star);
  if (isReal) {
    say(await keepInNight(shiftEntry(shift, by, new Date(), ofMover(told, mover))));
    await keepShift(shift, mover, options, site, new Date());
  }
  const seen = isReal ? await loadShifts(mover, options, site) : [shift];
  const answer = isReal && mover === 'locking' ? await answerTonight(site) : undefined;
  const words = [
    told,
    ...(answer ? [lockAheadWords(answer, seen, site.latitudeRad)] : []),
    ...(isReal ? lockHabitWords(seen, loadOf(mover)) : []),
  ];
  return tellResult(
    by === 'locking' ? 'lock' : 'load',
    { accepted: true, gates: [] },
    { ...shiftJson(shift, site), ...(star !== undefined && { star }), ...aheadJson(mover, seen, site, answer) },
    words,
    options.json,
  );
}

async function listLoads(options: ShiftOptions): Promise<ExitCode> {
  const loads = await keptLoads(options);
  if (options.json) printJson({ kind: 'loads', loads });
  else if (loads.length === 0) say(texts.noLoad);
  else for (const name of loads) printResult(name);
  return exitCode.done;
}

/** Before the bolts are locked, or the load goes on. */
async function tellAhead(mover: Mover, options: ShiftOptions): Promise<ExitCode> {
  const site = await requireSite(options);
  const seen = await loadShifts(mover, options, site);
  if (options.json) printJson({ kind: byOf(mover) === 'locking' ? 'lock' : 'load', ...aheadJson(mover, seen, site) });
  else
    for (const line of seen.length > 0
      ? lockHabitWords(seen, loadOf(mover))
      : [texts.notMeasured(mover === 'locking' ? 'locking' : mover.load)])
      printResult(wrapped(line, process.stdout));
  return exitCode.done;
}

const arcminutes = (rad: number): number => rounded(rad / arcminute, 3);

function shiftJson(shift: SeenShift, { latitudeRad }: Site): Record<string, unknown> {
  const { distanceRad, sigmaDistanceRad } = shiftOf(shift, latitudeRad);
  return {
    altitudeShiftArcmin: arcminutes(shift.altitudeShiftRad),
    azimuthShiftArcmin: arcminutes(shift.azimuthShiftRad),
    sigmaAltitudeShiftArcmin: arcminutes(Math.sqrt(shift.covariance[0])),
    sigmaAzimuthShiftArcmin: arcminutes(Math.sqrt(shift.covariance[3])),
    distanceArcmin: arcminutes(distanceRad),
    sigmaDistanceArcmin: arcminutes(sigmaDistanceRad),
  };
}

/** What is expected of the next time, and where to stand off before it. */
function aheadJson(
  mover: Mover,
  seen: readonly SeenShift[],
  { latitudeRad }: Site,
  answer?: Answer,
): Record<string, unknown> {
  const habit = habitOf(seen);
  const ahead = answer && lockAhead(answer, habit, readCovariance, latitudeRad);
  return {
    ...(mover !== 'locking' && { load: mover.load }),
    times: habit.times,
    usualAltitudeShiftArcmin: arcminutes(habit.altitudeShiftRad),
    usualAzimuthShiftArcmin: arcminutes(habit.azimuthShiftRad),
    scatterAltitudeArcmin: arcminutes(habit.scatterRad.altitude),
    scatterAzimuthArcmin: arcminutes(habit.scatterRad.azimuth),
    standOffAltitudeArcmin: arcminutes(-habit.altitudeShiftRad),
    standOffAzimuthArcmin: arcminutes(-habit.azimuthShiftRad),
    ...(ahead && {
      expectedNowArcmin: arcminutes(ahead.nowRad),
      expectedAfterCorrectionArcmin: arcminutes(ahead.afterRad),
      correct: ahead.isNearer,
    }),
  };
}
