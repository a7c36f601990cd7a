import { answerOf } from '../../calibration/answer.ts';
import { arcminute, degree } from '../../calibration/angle.ts';
import {
  allowedForExposure,
  allowedForEyepiece,
  chanceWithin,
  largestDriftRadPerS,
  largestFieldRotationRadPerS,
  verdictOf,
  type Allowed,
} from '../../calibration/enough.ts';
import { exitCode, Failure, type ExitCode } from '../failure.ts';
import { printJson, printResult, say } from '../output.ts';
import { requireSite, type SiteOptions } from './siteOptions.ts';
import { rounded } from '../words/figures.ts';
import { wrapped } from '../words/wrapForTerminal.ts';
import { chanceWords } from '../words/chance.ts';
import { bandSigmas } from '../words/reading.ts';
import { keepPlan } from '../store/plan.ts';
import { estimatesOf } from '../night/nightEstimates.ts';
import { loadNight } from '../night/nightFile.ts';
import { parseDeclination } from '../sky/target.ts';
import { texts } from './words/enough.ts';

export interface EnoughOptions extends SiteOptions {
  exposure?: string;
  focal?: string;
  pixel?: string;
  dec?: string;
  smear: string;
  sensor: string;
  guided?: boolean;
  field?: string;
  minutes?: string;
  distance?: string;
  giveOrTake?: string;
  sigma?: string;
  json?: boolean;
}

function positive(name: string, text: string, unit: string): number {
  const value = text.trim() === '' ? NaN : Number(text);
  if (value > 0 && Number.isFinite(value)) return value;
  throw new Failure(exitCode.usage, `The ${name} "${text}" is not a positive number.`, `Give it in ${unit}.`);
}

/** Where the axis stands, as a mean on the sky (east, up) and a covariance. */
interface Standing {
  eastRad: number;
  upRad: number;
  covariance: readonly [number, number, number, number];
  source: string;
}

function givenSigmaArcmin({ giveOrTake, sigma }: EnoughOptions): number {
  if (giveOrTake !== undefined && sigma !== undefined)
    throw new Failure(exitCode.usage, 'The uncertainty is given twice.', 'Give --give-or-take or --sigma, not both.');
  if (giveOrTake !== undefined) return positive('give or take', giveOrTake, 'arcminutes') / bandSigmas;
  if (sigma !== undefined) return positive('sigma', sigma, 'arcminutes');
  throw new Failure(exitCode.usage, 'The uncertainty of the distance is missing.', 'Give --give-or-take as well.');
}

async function standingOf(options: EnoughOptions): Promise<Standing | undefined> {
  if (options.distance !== undefined) {
    const distance = options.distance === '0' ? 0 : positive('distance', options.distance, 'arcminutes') * arcminute;
    const variance = (givenSigmaArcmin(options) * arcminute) ** 2;
    return { eastRad: distance, upRad: 0, covariance: [variance, 0, 0, variance], source: texts.asGiven };
  }
  const { entries, cautions } = await loadNight();
  for (const caution of cautions) say(caution);
  const estimates = estimatesOf(entries);
  if (estimates.length === 0) return undefined;
  const { latitudeRad } = await requireSite(options);
  const answer = answerOf(estimates, latitudeRad, Date.now());
  const across = Math.cos(latitudeRad);
  const [aa, ax, , xx] = answer.axisCovariance;
  return {
    eastRad: answer.azimuthErrorRad * across,
    upRad: answer.altitudeErrorRad,
    covariance: [xx * across ** 2, ax * across, ax * across, aa],
    source: texts.tonights(estimates.map(({ kind }) => kind).join(', ')),
  };
}

interface Plan {
  allowed: Allowed;
  words: string;
  /** What an axis that far off does over the plan. */
  effect: (distanceRad: number) => string;
}

function photograph(options: EnoughOptions, exposure: string): Plan {
  if (options.focal === undefined || options.pixel === undefined) {
    throw new Failure(
      exitCode.usage,
      'The focal length or the pixel size is missing.',
      'Give --focal MM and --pixel UM.',
    );
  }
  const exposureS = positive('exposure', exposure, 'seconds');
  const focalLengthM = positive('focal length', options.focal, 'millimetres') / 1000;
  const pixelM = positive('pixel', options.pixel, 'micrometres') * 1e-6;
  const smearM = positive('smear', options.smear, 'pixels') * pixelM;
  const sides = options.sensor
    .split(/[x×]/)
    .map((side) => positive('sensor', side, 'millimetres, as 23.5x15.7') / 1000);
  if (sides.length !== 2) {
    throw new Failure(exitCode.usage, `The sensor "${options.sensor}" needs two sides.`, 'Give --sensor 23.5x15.7');
  }
  const declinationRad = options.dec === undefined ? 0 : parseDeclination(options.dec);
  // A guide star may stand at one corner, and the field then turns about it: the whole diagonal counts.
  const cornerRad = Math.atan(Math.hypot(...sides) / (options.guided ? 1 : 2) / focalLengthM);
  const guided = options.guided ?? false;
  const allowed = allowedForExposure({ exposureS, focalLengthM, declinationRad, smearM, cornerRad, guided });
  return {
    allowed,
    words: texts.photograph(exposureS, options.focal, guided, options.smear),
    effect: (distanceRad) => {
      const drift = (largestDriftRadPerS(distanceRad) * exposureS * focalLengthM) / pixelM;
      const turn =
        (largestFieldRotationRadPerS(distanceRad, declinationRad) * exposureS * focalLengthM * cornerRad) / pixelM;
      return texts.blur(drift.toFixed(1), guided, turn.toFixed(1));
    },
  };
}

function eyepiece(options: EnoughOptions): Plan {
  if (options.field === undefined || options.minutes === undefined) {
    throw new Failure(
      exitCode.usage,
      'The plan is not known.',
      'For a photograph: lodepole enough --exposure 120 --focal 400 --pixel 3.8; for the eye: lodepole enough --field 40 --minutes 60',
    );
  }
  const fieldRad = positive('field', options.field, 'arcminutes') * arcminute;
  const stayS = positive('time', options.minutes, 'minutes') * 60;
  const distanceRad = allowedForEyepiece(fieldRad, stayS);
  return {
    allowed: { driftRad: distanceRad, rotationRad: Infinity, distanceRad },
    words: texts.eye(options.minutes, options.field),
    effect: (distance) => {
      const minutes = fieldRad / 2 / largestDriftRadPerS(distance) / 60;
      return texts.stays(minutes > 600, minutes.toFixed(0));
    },
  };
}

/** Arcminutes for JSON, without what no limit means. */
const limitArcmin = (angleRad: number): number | null =>
  Number.isFinite(angleRad) ? rounded(angleRad / arcminute, 2) : null;

/** The `enough` command. */
export async function runEnough(options: EnoughOptions): Promise<ExitCode> {
  const plan = options.exposure === undefined ? eyepiece(options) : photograph(options, options.exposure);
  const { allowed } = plan;
  await keepPlan({ allowedRad: allowed.distanceRad, words: plan.words });
  const standing = await standingOf(options);
  const chance = standing && chanceWithin(allowed.distanceRad, standing.eastRad, standing.upRad, standing.covariance);
  const distanceRad = standing && Math.hypot(standing.eastRad, standing.upRad);
  const verdict = chance === undefined ? undefined : verdictOf(chance);
  const allowedWords =
    allowed.distanceRad > 2 * degree
      ? `${(allowed.distanceRad / degree).toFixed(1)}°`
      : `${(allowed.distanceRad / arcminute).toFixed(1)}′`;
  const limitedBy = allowed.rotationRad < allowed.driftRad ? texts.fieldRotation : 'drift';
  const words = [
    texts.allowed(plan.words, allowedWords, limitedBy),
    ...(chance === undefined || distanceRad === undefined
      ? [texts.notMeasured]
      : [
          texts.distance((distanceRad / arcminute).toFixed(1), standing?.source, verdict, chanceWords(chance)),
          plan.effect(distanceRad),
        ]),
  ];
  if (options.json) {
    printJson({
      kind: 'enough',
      allowedArcmin: limitArcmin(allowed.distanceRad),
      allowedDriftArcmin: limitArcmin(allowed.driftRad),
      allowedRotationArcmin: limitArcmin(allowed.rotationRad),
      limitedBy,
      ...(standing &&
        distanceRad !== undefined && {
          distanceArcmin: rounded(distanceRad / arcminute, 2),
          sigmaDistanceArcmin: rounded(Math.sqrt((standing.covariance[0] + standing.covariance[3]) / 2) / arcminute, 2),
          chance: rounded(chance ?? 0, 4),
          verdict,
        }),
      words: words.join(' '),
    });
  } else for (const line of words) printResult(wrapped(line, process.stdout));
  return verdict === 'not good enough' ? exitCode.refused : exitCode.done;
}
