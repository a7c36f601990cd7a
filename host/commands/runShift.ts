import type { Answer } from '../../calibration/answer.ts';
import { arcminute } from '../../calibration/angle.ts';
import { lockAhead } from '../../calibration/nudge/ahead.ts';
import { habitOf, type SeenShift } from '../../calibration/nudge/habit.ts';
import { readShift } from '../../calibration/nudge/readShift.ts';
import { exitCode, Failure, type ExitCode } from '../failure.ts';
import type { LiveSession } from '../live/session.ts';
import { answerFrom, shiftEntry } from '../night/nightEstimates.ts';
import { keepInNight, loadNight } from '../night/nightFile.ts';
import { printJson, printResult, say } from '../output.ts';
import { parseInstant } from '../site/instant.ts';
import type { Site } from '../site/site.ts';
import { requireStar } from '../sky/stars.ts';
import { lockAheadWords, lockHabitWords, readCovariance } from '../steps/lockAdvice.ts';
import { LockStep, lockWords, shiftOf } from '../steps/lockStep.ts';
import { planStarNudge } from '../steps/starNudge.ts';
import { checkName, type ClippingOptions } from '../store/clipping.ts';
import { keepShift, keptLoads, loadShifts, type Mover } from '../store/lockings.ts';
import { cautions } from '../words/cautions.ts';
import { rounded } from '../words/figures.ts';
import { wrapped } from '../words/wrapForTerminal.ts';
import { eyeOf, placeRead, unitOf, type EyepieceOptions } from './eyepieceOptions.ts';
import { feedStep } from './feedStep.ts';
import { sayCautions } from './sayCautions.ts';
import { requireSite, type SiteOptions } from './siteOptions.ts';
import { openForStep } from './stepOptions.ts';
import { tellResult } from './tellResult.ts';

export interface ShiftOptions extends SiteOptions, ClippingOptions, EyepieceOptions {
  ahead?: boolean;
  list?: boolean;
  star?: string;
  at: string;
  read?: string;
  port?: string;
  virtual?: string;
  seed?: string;
  json?: boolean;
}

interface Measured {
  shift: SeenShift;
  site: Site;
  /** Of the star's reading; absent: by the board. */
  star?: string;
  /** A real mount, so that it is remembered. */
  isReal: boolean;
}

const byOf = (mover: Mover): 'locking' | 'load' => (mover === 'locking' ? 'locking' : 'load');

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
  const told = `${lockWords(shiftOf(shift, site.latitudeRad), by)}${star === undefined ? '' : ` Read on ${star} in the eyepiece.`}`;
  if (isReal) {
    const noted = mover === 'locking' ? told : `${told} Load: ${mover.load}.`;
    say(await keepInNight(shiftEntry(shift, by, new Date(), noted)));
    await keepShift(shift, mover, options, site, new Date());
  }
  const seen = isReal ? await loadShifts(mover, options, site) : [shift];
  const answer = isReal && mover === 'locking' ? await answerTonight(site) : undefined;
  const words = [
    told,
    ...(answer ? [lockAheadWords(answer, seen, site.latitudeRad)] : []),
    ...(isReal ? lockHabitWords(seen, mover === 'locking' ? undefined : mover.load) : []),
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
  else if (loads.length === 0) say('No load is remembered of this mount yet: lodepole load --name refractor');
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
      ? lockHabitWords(seen, mover === 'locking' ? undefined : mover.load)
      : [`What ${mover === 'locking' ? 'locking' : mover.load} does to this mount was not seen yet.`])
      printResult(wrapped(line, process.stdout));
  return exitCode.done;
}

async function answerTonight({ latitudeRad }: Site): Promise<Answer | undefined> {
  const { entries } = await loadNight();
  return answerFrom(entries, latitudeRad, Date.now());
}

/** A rest, the bolts are tightened or the load goes on, a rest. Throws Failure. */
async function byBoard(mover: Mover, options: ShiftOptions): Promise<Measured> {
  const session = await openForStep(options);
  try {
    await firstNeedles(session);
    const model = session.axisModel();
    const { site } = session;
    if (!model || !site)
      throw new Failure(exitCode.refused, 'The axis is not known in the board yet.', 'Swing first: lodepole swing');
    const step = new LockStep(model, site.latitudeRad >= 0 ? 'north' : 'south', byOf(mover));
    if (session.virtual === undefined) say('Enter: go on to what is asked next.');
    await feedStep(
      session,
      {
        offer: (sample) => step.offer(sample),
        words: () => step.progress().instruction,
        onLine: () => {
          if (step.progress().isBeforeKept) return step.progress().restCounts;
          step.locking();
          return false;
        },
        isEnough: () => false,
        hands: async ({ virtual }) => {
          const hands = virtual?.hands;
          hands?.rest(2.5);
          await hands?.whenDone();
          step.locking();
          if (mover === 'locking') {
            hands?.lock('azimuth');
            hands?.lock('altitude');
          } else hands?.load(true);
          hands?.rest(2.5);
          await hands?.whenDone();
        },
      },
      session.virtual !== undefined,
    );
    const { altitudeShiftRad, azimuthShiftRad, sigmaAltitudeShiftRad, sigmaAzimuthShiftRad } = step.finish();
    const covariance = [sigmaAltitudeShiftRad ** 2, 0, 0, sigmaAzimuthShiftRad ** 2] as const;
    return { shift: { altitudeShiftRad, azimuthShiftRad, covariance }, site, isReal: session.virtual === undefined };
  } finally {
    await session.close();
  }
}

/** A board that has answered sends its first needle within this time. */
const firstNeedleMs = 5000;

/** Only then is it known by which model the needles go. */
async function firstNeedles(session: LiveSession): Promise<void> {
  if (session.latest()) return;
  await new Promise<void>((resolve) => {
    const end = (): void => {
      clearTimeout(timer);
      stop();
      resolve();
    };
    const timer = setTimeout(end, firstNeedleMs);
    const stop = session.onNeedles(end);
  });
}

/** A star was centred before and is read after. Throws Failure. */
async function byStar(mover: Mover, options: ShiftOptions): Promise<Measured> {
  if (options.star === undefined || options.read === undefined)
    throw new Failure(
      exitCode.usage,
      `Only ${options.star === undefined ? 'the reading' : 'the star'} is given.`,
      'Give both, as --star altair --read=1.5,-2; or neither, for the board.',
    );
  const site = await requireSite(options);
  const utc = parseInstant(options.at);
  const unit = unitOf(options);
  const eye = eyeOf(options, unit);
  const axis = (await answerTonight(site)) ?? {
    altitudeErrorRad: 0,
    azimuthErrorRad: 0,
    axisCovariance: [0, 0, 0, 0] as const,
  };
  const { star, starNed, gates } = planStarNudge(requireStar(options.star), site, utc, axis, eye);
  const stop = gates.find(({ verdict }) => verdict === 'stop');
  if (stop)
    throw new Failure(
      exitCode.refused,
      `This star does not tell what ${byOf(mover)} did: ${stop.reason}.`,
      stop.nextAction,
    );
  const shift = readShift(
    starNed,
    site.latitudeRad,
    axis,
    placeRead(options.read, unit),
    eye.sigmaReadRad * Math.SQRT2,
  );
  return { shift, site, star: star.name, isReal: true };
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
