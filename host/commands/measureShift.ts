import type { Answer } from '../../calibration/answer.ts';
import type { SeenShift } from '../../calibration/nudge/habit.ts';
import { exitCode, Failure } from '../failure.ts';
import { answerFrom } from '../night/nightEstimates.ts';
import { loadNight } from '../night/nightFile.ts';
import { say } from '../output.ts';
import { parseInstant } from '../site/instant.ts';
import type { Site } from '../site/site.ts';
import { requireStar } from '../sky/stars.ts';
import { lockHabitWords } from '../steps/lockAdvice.ts';
import { LockStep, seenOf } from '../steps/lockStep.ts';
import { planStarReading, shiftByStar } from '../steps/starShift.ts';
import type { ClippingOptions } from '../store/clipping.ts';
import { loadShifts, type Mover } from '../store/lockings.ts';
import { wrapped } from '../words/wrapForTerminal.ts';
import { waitFor } from './boardAtRest.ts';
import { eyeOf, placeRead, unitOf, type EyepieceOptions } from './eyepieceOptions.ts';
import { feedStep } from './feedStep.ts';
import { requireSite, type SiteOptions } from './siteOptions.ts';
import { openForStep } from './stepOptions.ts';
import { texts } from './words/shift.ts';

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

export interface Measured {
  shift: SeenShift;
  site: Site;
  /** Of the star's reading; absent: by the board. */
  star?: string;
  /** A real mount, so that it is remembered. */
  isReal: boolean;
}

export const loadOf = (mover: Mover): string | undefined => (mover === 'locking' ? undefined : mover.load);
export const byOf = (mover: Mover): 'locking' | 'load' => (mover === 'locking' ? 'locking' : 'load');

/** Of what was measured tonight; none yet, undefined. */
export async function answerTonight({ latitudeRad }: Site): Promise<Answer | undefined> {
  const { entries } = await loadNight();
  return answerFrom(entries, latitudeRad, Date.now());
}

/** A rest, the bolts are tightened or the load goes on, a rest. Throws Failure. */
export async function byBoard(mover: Mover, options: ShiftOptions): Promise<Measured> {
  const session = await openForStep(mover === 'locking' ? 'lock' : 'load', options);
  try {
    // only with the first needle is it known by which model they go
    await waitFor(() => session.latest(), texts.noSample);
    const model = session.axisModel();
    const { site } = session;
    if (!model || !site)
      throw new Failure(exitCode.refused, 'The axis is not known in the board yet.', 'Swing first: lodepole swing');
    const step = new LockStep(model, site.latitudeRad >= 0 ? 'north' : 'south', byOf(mover));
    if (session.virtual === undefined) {
      const seen = await loadShifts(mover, options, site);
      for (const line of lockHabitWords(seen, loadOf(mover))) say(wrapped(line, process.stderr));
      say(texts.enterGoesOn);
    }
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
    return { shift: seenOf(step.finish()), site, isReal: session.virtual === undefined };
  } finally {
    await session.close();
  }
}

/** A star was centred before and is read after. Throws Failure. */
export async function byStar(mover: Mover, options: ShiftOptions): Promise<Measured> {
  if (options.star === undefined || options.read === undefined)
    throw new Failure(
      exitCode.usage,
      `Only ${options.star === undefined ? 'the reading' : 'the star'} is given.`,
      'Give both, as --star altair --read=1.5,-2; or neither, for the board.',
    );
  const site = await requireSite(options);
  const utc = parseInstant(options.at);
  const unit = unitOf(options);
  const axis = await answerTonight(site);
  const plan = planStarReading(requireStar(options.star), site, utc, eyeOf(options, unit), byOf(mover), axis);
  const shift = shiftByStar(plan, site.latitudeRad, placeRead(options.read, unit));
  return { shift, site, star: plan.star.name, isReal: true };
}
