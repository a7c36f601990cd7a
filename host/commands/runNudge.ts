import type { Answer } from '../../calibration/answer.ts';
import { arcminute } from '../../calibration/angle.ts';
import type { AxisErrors } from '../../calibration/drift/driftModel.ts';
import { home, type FieldPlace } from '../../calibration/nudge/starAfter.ts';
import { exitCode, Failure, type ExitCode } from '../failure.ts';
import { answerFrom, shiftEntry } from '../night/nightEstimates.ts';
import { keepInNight, loadNight } from '../night/nightFile.ts';
import { entryWords } from '../night/nightReport.ts';
import { printJson, printResult, say } from '../output.ts';
import { parseInstant } from '../site/instant.ts';
import type { Site } from '../site/site.ts';
import { starlight, starlightJson } from '../sky/starlight.ts';
import { requireStar } from '../sky/stars.ts';
import { nudgeStars, planStarNudge, type NudgeAxis, type NudgeEye, type NudgePlan } from '../steps/starNudge.ts';
import { nudgeCautions, nudgeJson, nudgeWords, type Picture } from '../steps/starNudgeWords.ts';
import { shiftByStar } from '../steps/starShift.ts';
import { rounded } from '../words/figures.ts';
import { eyeOf, numberOf, placeRead, unitOf, type EyepieceOptions } from './eyepieceOptions.ts';
import { sayCautions } from './sayCautions.ts';
import { requireSite, type SiteOptions } from './siteOptions.ts';
import { tellResult } from './tellResult.ts';
import { texts } from './words/nudge.ts';

export interface NudgeOptions extends SiteOptions, EyepieceOptions {
  star?: string;
  at: string;
  altitudeError?: string;
  azimuthError?: string;
  to?: string;
  mirrored?: boolean;
  read?: string;
  list?: boolean;
  json?: boolean;
}

const mostErrorArcmin = 90 * 60;

/** The `nudge` command. */
export async function runNudge(options: NudgeOptions): Promise<ExitCode> {
  sayCautions(...nudgeCautions);
  const site = await requireSite(options);
  const utc = parseInstant(options.at);
  const unit = unitOf(options);
  const eye = eyeOf(options, unit);
  const axis = await axisOf(options, site, utc);
  if (options.list) return listStars(options, site, utc, axis, eye);
  const star =
    options.star === undefined ? nudgeStars(site, utc, axis, eye.fieldRad).at(0)?.star : requireStar(options.star);
  if (!star) {
    const { reason, whatToDo } = starlight(site, utc);
    throw new Failure(
      exitCode.refused,
      `No listed star suits a nudge from here now. ${reason}`.trim(),
      whatToDo || 'Wait until another star is well placed, or nudge by the needles.',
    );
  }
  const plan = planStarNudge(star, site, utc, axis, eye, aimOf(options));
  const picture: Picture = { mirrored: options.mirrored ?? false, unit };
  if (options.read !== undefined) return keepReading(options, site, plan, placeRead(options.read, unit));
  const accepted = plan.gates.every(({ verdict }) => verdict !== 'stop');
  return tellResult(
    'nudge',
    { accepted, gates: plan.gates },
    nudgeJson(plan, picture),
    accepted ? nudgeWords(plan, picture) : [],
    options.json,
  );
}

/** The errors that were given, taken as they are; what was not given is that of the answer of tonight. */
async function axisOf({ altitudeError, azimuthError }: NudgeOptions, site: Site, utc: Date): Promise<NudgeAxis> {
  const given = (name: string, text: string | undefined): number | undefined =>
    text === undefined ? undefined : numberOf(name, text, -mostErrorArcmin, mostErrorArcmin, 'arcminutes') * arcminute;
  const altitudeErrorRad = given('altitude error', altitudeError);
  const azimuthErrorRad = given('azimuth error', azimuthError);
  if (altitudeErrorRad !== undefined && azimuthErrorRad !== undefined)
    return { altitudeErrorRad, azimuthErrorRad, axisCovariance: [0, 0, 0, 0] };
  const answer = await answerOfTonight(site, utc);
  const [altitude, , , azimuth] = answer.axisCovariance;
  if (altitudeErrorRad !== undefined) return { ...answer, altitudeErrorRad, axisCovariance: [0, 0, 0, azimuth] };
  if (azimuthErrorRad !== undefined) return { ...answer, azimuthErrorRad, axisCovariance: [altitude, 0, 0, 0] };
  return answer;
}

/** Where the axis is to stand. */
function aimOf({ to }: NudgeOptions): AxisErrors {
  if (to === undefined) return home;
  const parts = to.split(/[,;]/);
  if (parts.length !== 2)
    throw new Failure(
      exitCode.usage,
      `"${to}" does not read as two errors.`,
      'Give altitude and azimuth, as --to=3,-2.',
    );
  const [altitude, azimuth] = parts.map((part) => numberOf('wanted error', part, -60, 60, 'arcminutes') * arcminute);
  return { altitudeErrorRad: altitude, azimuthErrorRad: azimuth };
}

async function answerOfTonight(site: Site, utc: Date): Promise<Answer> {
  const { entries, cautions } = await loadNight(utc);
  for (const caution of cautions) say(caution);
  const answer = answerFrom(entries, site.latitudeRad, utc.getTime());
  if (answer) return answer;
  throw new Failure(
    exitCode.refused,
    'There is no answer for tonight yet: the axis has not been measured.',
    'Take sights or watch a drift first (lodepole sight, lodepole drift), or give --altitude-error and --azimuth-error.',
  );
}

async function listStars(
  options: NudgeOptions,
  site: Site,
  utc: Date,
  axis: NudgeAxis,
  eye: NudgeEye,
): Promise<ExitCode> {
  const list = nudgeStars(site, utc, axis, eye.fieldRad).slice(0, 8);
  const light = starlight(site, utc);
  if (options.json) {
    printJson({
      timeUtc: utc.toISOString(),
      ...starlightJson(light),
      stars: list.map(({ star, where, shiftRad, spread }) => ({
        star: star.name,
        where,
        shiftArcmin: rounded(shiftRad / arcminute, 2),
        sigmaAxisArcmin: rounded((spread * eye.sigmaReadRad * Math.SQRT2) / arcminute, 2),
      })),
    });
  } else if (list.length === 0) printResult(texts.noStar(light.reason, light.whatToDo).trim());
  else
    for (const { star, where, shiftRad, spread } of list)
      printResult(
        texts.moves(
          star.name.padEnd(16),
          where.padEnd(28),
          (shiftRad / arcminute).toFixed(0),
          ((2 * spread * eye.sigmaReadRad * Math.SQRT2) / arcminute).toFixed(1),
        ),
      );
  return exitCode.done;
}

/** What the star tells of the nudge goes into the log of the night. */
async function keepReading(options: NudgeOptions, site: Site, plan: NudgePlan, read: FieldPlace): Promise<ExitCode> {
  const accepted = plan.gates.every(({ verdict }) => verdict !== 'stop');
  if (!accepted)
    return tellResult('nudge', { accepted, gates: plan.gates }, nudgeJson(plan, { mirrored: false }), [], options.json);
  const { axis, star, utc } = plan;
  const shift = shiftByStar(plan, site.latitudeRad, read);
  const entry = shiftEntry(shift, 'star', utc, texts.readOn(star.name));
  say(await keepInNight(entry));
  const after = {
    altitudeErrorArcmin: rounded((axis.altitudeErrorRad + shift.altitudeShiftRad) / arcminute),
    azimuthErrorArcmin: rounded((axis.azimuthErrorRad + shift.azimuthShiftRad) / arcminute),
  };
  return tellResult(
    'nudge',
    { accepted: true, gates: plan.gates },
    {
      star: star.name,
      timeUtc: utc.toISOString(),
      altitudeShiftArcmin: rounded(shift.altitudeShiftRad / arcminute),
      azimuthShiftArcmin: rounded(shift.azimuthShiftRad / arcminute),
      sigmaAltitudeShiftArcmin: rounded(Math.sqrt(shift.covariance[0]) / arcminute),
      sigmaAzimuthShiftArcmin: rounded(Math.sqrt(shift.covariance[3]) / arcminute),
      ...after,
    },
    [entryWords(entry)],
    options.json,
  );
}
