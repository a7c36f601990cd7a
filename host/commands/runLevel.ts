import type { LevelResult } from '../../calibration/level.ts';
import { identity3 } from '../../calibration/vector.ts';
import { csvOptionsOf } from '../capture/csv/options.ts';
import type { Recording } from '../capture/recorded.ts';
import { exitCode, Failure, type ExitCode } from '../failure.ts';
import type { LiveSession } from '../live/session.ts';
import { noteStep } from '../night/noteStep.ts';
import { say } from '../output.ts';
import type { Site } from '../site/site.ts';
import { findCalibration } from '../store/profile.ts';
import { feedStep } from './feedStep.ts';
import { fitLying, levelPlace, levelWords, LevelStep, type LevelKnown } from '../steps/levelStep.ts';
import { readDwells } from './readDwells.ts';
import { tellResult } from './tellResult.ts';
import { inDeg, rounded } from '../words/figures.ts';
import { calibrationFor, dateOf, openForStep, siteFor, type StepOptions } from './stepOptions.ts';
import { texts } from './words/level.ts';

/** Reversal takes the accelerometer's bias away, so that a level needs no calibration. */
const uncorrected = {
  accelerometer: { bias: [0, 0, 0], matrix: identity3 },
  magnetometer: { bias: [0, 0, 0], matrix: identity3 },
} as const;

/** The `level` command. */
export async function runLevel(options: StepOptions): Promise<ExitCode> {
  const level = options.from === undefined ? await levelLive(options) : await levelFromFile(options, options.from);
  if (level.accepted && options.from === undefined && options.virtual === undefined)
    await noteStep('level', texts.noted(levelWords(level)[0]));
  return tellResult('level', level, levelJson(level), levelWords(level), options.json);
}

async function levelFromFile(options: StepOptions, from: string): Promise<LevelResult> {
  const { dwells, recording } = await readDwells(from, { needsField: false, csv: csvOptionsOf(options) });
  const site = await siteFor(options, recording);
  if (!site) {
    throw new Failure(
      exitCode.usage,
      'The site is not known.',
      'Give --lat and --lon: how the bolts couple depends on the latitude.',
    );
  }
  const [north, south] = dwells.length < 2 ? dwells : [dwells[0], dwells[dwells.length - 1]];
  return fitLying(north, south, await knownFor(options, site, { recording }), recording.has.magnetometer);
}

async function levelLive(options: StepOptions): Promise<LevelResult> {
  const session = await openForStep('level', options);
  try {
    const step = new LevelStep(await knownFor(options, session.site!, { session }));
    if (session.virtual === undefined) say(texts.pressWhenRested);
    await feedStep(
      session,
      {
        offer: (sample) => step.offer(sample),
        words: () => step.progress().instruction,
        onLine: () => {
          if (step.progress().position === 'south') return true;
          step.turn();
          return false;
        },
        isEnough: () => false,
        hands: async ({ virtual }) => {
          for (const degrees of [0, 180] as const) {
            virtual?.hands.layOnBase(degrees);
            await virtual?.hands.whenDone();
            if (degrees === 180) step.turn();
            virtual?.hands.rest(2.5);
            await virtual?.hands.whenDone();
          }
        },
      },
      session.virtual !== undefined,
    );
    return step.finish();
  } finally {
    await session.close();
  }
}

/** With the calibration that is named or kept; without one it serves as well but for iron at the base. */
async function knownFor(
  options: StepOptions,
  site: Site,
  from: { recording?: Recording; session?: LiveSession },
): Promise<LevelKnown> {
  const place = levelPlace(site, dateOf(options));
  const hello = from.recording?.hello ?? from.session?.hello?.();
  const isKept = hello !== undefined && 'calibration' in (await findCalibration(hello));
  if (options.calibration === undefined && !isKept) return { place, correction: uncorrected, isFieldCalibrated: false };
  const { correction } = await calibrationFor(options, from);
  return { place, correction, isFieldCalibrated: true };
}

const levelJson = (level: LevelResult): Record<string, unknown> => ({
  tiltDeg: inDeg(level.tiltRad),
  sigmaTiltDeg: inDeg(level.sigmaTiltRad),
  northHighDeg: inDeg(level.northHighRad),
  eastHighDeg: inDeg(level.eastHighRad),
  altitudePerAzimuth: rounded(level.altitudePerAzimuth, 5),
  azimuthPerAltitude: rounded(level.azimuthPerAltitude, 5),
  offsetDeg: level.offsetRad.map(inDeg),
});
