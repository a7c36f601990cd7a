import { readFile } from 'node:fs/promises';
import { createInterface } from 'node:readline';
import { answerOf } from '../../calibration/answer.ts';
import { arcminute, arcsecond } from '../../calibration/angle.ts';
import type { DriftOptions } from '../commands/drift.ts';
import { readFault } from '../fileFault.ts';
import { exitCode, Failure, type ExitCode } from '../failure.ts';
import { printJson, printResult, say } from '../output.ts';
import { parseInstant } from '../site/instant.ts';
import { requireSite } from '../site/siteOptions.ts';
import type { Site } from '../site/site.ts';
import { report, rounded } from '../steps/report.ts';
import { estimatesOf, keepEstimate, loadNight } from '../store/night.ts';
import { bandSigmas } from '../words/reading.ts';
import { driftStars, judgeDrift, roughCovariance, type DriftOutcome } from './drift.ts';
import { parseDriftReadings, type TypedReading } from './driftFile.ts';
import { axisJson, axisWords } from './sightReport.ts';
import { requireStar } from './stars.ts';

function positive(name: string, text: string): number {
  const value = text.trim() === '' ? NaN : Number(text);
  if (value > 0 && Number.isFinite(value)) return value;
  throw new Failure(exitCode.usage, `The ${name} "${text}" is not a positive number.`, 'See: lodepole drift --help');
}

/** Size of one unit of the readings, radians. */
function unitOf(options: DriftOptions): number {
  const given = [options.division, options.field, options.pixelScale].filter((unit) => unit !== undefined);
  if (given.length > 1) {
    throw new Failure(exitCode.usage, 'The unit is given twice.', 'Give one of --division, --field, --pixel-scale.');
  }
  if (options.field !== undefined) return positive('field', options.field) * arcminute;
  const seconds = options.division ?? options.pixelScale;
  return seconds === undefined ? arcsecond : positive('unit', seconds) * arcsecond;
}

/** The `drift` command. */
export async function runDrift(options: DriftOptions): Promise<ExitCode> {
  const site = await requireSite(options);
  if (options.list) return listStars(options, site);
  const unitRad = unitOf(options);
  const errorRad = options.error === undefined ? undefined : positive('error', options.error) * unitRad;
  const readings = await readingsOf(options);
  const outcome = judgeDrift(readings, site, unitRad, errorRad);
  if (options.from === undefined || options.keep)
    await keepEstimate({ kind: 'drift', utcMs: lastOf(readings), ...outcome.fit });
  return report(
    'drift',
    { accepted: true, gates: outcome.gates },
    driftJson(outcome, site),
    driftWords(outcome),
    options.json,
  );
}

const lastOf = (readings: readonly TypedReading[]): number => Math.max(...readings.map(({ utc }) => utc.getTime()));

async function readingsOf(options: DriftOptions): Promise<TypedReading[]> {
  const start = parseInstant(options.at);
  if (options.from !== undefined) {
    let text: string;
    try {
      text = await readFile(options.from, 'utf8');
    } catch (error) {
      throw readFault(options.from, error);
    }
    return parseDriftReadings(text, options.from, start, options.star);
  }
  if (options.star === undefined) {
    throw new Failure(
      exitCode.usage,
      'There is nothing to watch.',
      'Give --star NAME and type the readings, or --from FILE; --list tells which star.',
    );
  }
  return typeReadings(options.star);
}

/** A person types each reading as it is made; the clock is read at Enter. */
async function typeReadings(firstStar: string): Promise<TypedReading[]> {
  let star = requireStar(firstStar);
  const readings: TypedReading[] = [];
  say(`Centre ${star.name} with the drive running. Every half minute type how far north of the start it stands.`);
  say(
    "A star's name goes over to a second star; u undoes; q ends. Five minutes each are worth more than one reading more.",
  );
  const lines = createInterface({ input: process.stdin });
  for await (const typed of lines) {
    const line = typed.trim();
    if (line === '') continue;
    if (line === 'q') break;
    if (line === 'u') readings.pop();
    else if (Number.isFinite(Number(line))) readings.push({ star, utc: new Date(), north: Number(line) });
    else {
      try {
        star = requireStar(line);
        say(`Now ${star.name}.`);
      } catch (error) {
        if (!(error instanceof Failure)) throw error;
        say(`${error.message} ${error.whatToDo}`);
      }
    }
  }
  lines.close();
  if (readings.length === 0) throw new Failure(exitCode.refused, 'No reading was made.', 'Type one number a line.');
  return readings;
}

const perMinute = (radPerS: number): number => (radPerS * 60) / arcsecond;

function driftJson({ fit, stars }: DriftOutcome, site: Site): Record<string, unknown> {
  return {
    ...axisJson(fit, site.latitudeRad),
    stars: fit.lines.map((line, index) => ({
      star: stars[index].name,
      driftArcsecPerMinute: rounded(perMinute(line.rateRadPerS)),
      sigmaDriftArcsecPerMinute: rounded(perMinute(line.sigmaRateRadPerS)),
      spanS: rounded(line.spanS, 1),
      sigmaReadingArcsec: rounded(line.sigmaRad / arcsecond),
    })),
  };
}

function driftWords({ fit, stars }: DriftOutcome): string[] {
  const lines = fit.lines.map((line, index) => {
    const rate = perMinute(line.rateRadPerS);
    const band = bandSigmas * perMinute(line.sigmaRateRadPerS);
    return `${stars[index].name} drifts ${rate < 0 ? 'south' : 'north'} ${Math.abs(rate).toFixed(2)}″ a minute, give or take ${band.toFixed(2)}″.`;
  });
  if (stars.length === 1)
    lines.push('One star tells one direction only; the other stays open. Watch a second one far from it.');
  return [...lines, ...axisWords(fit)];
}

async function listStars(options: DriftOptions, site: Site): Promise<ExitCode> {
  const date = parseInstant(options.at);
  const minutes = positive('time', options.minutes);
  const estimates = estimatesOf(await loadNight(date));
  const known =
    estimates.length > 0 ? answerOf(estimates, site.latitudeRad, date.getTime()).axisCovariance : roughCovariance;
  const ranked = driftStars(site, date, known, minutes);
  const list = (['azimuth', 'altitude', 'both'] as const).flatMap((what) =>
    ranked.filter(({ tells }) => tells === what).slice(0, 4),
  );
  if (options.json) {
    printJson({
      timeUtc: date.toISOString(),
      stars: list.map(({ star, where, tells, sigmaAfterRad }) => ({
        star: star.name,
        where,
        tells,
        sigmaAfterArcmin: rounded(sigmaAfterRad / arcminute, 2),
      })),
    });
  } else if (list.length === 0) printResult('No star of the list can be seen from here now.');
  else
    for (const { star, where, tells } of list)
      printResult(
        `${star.name.padEnd(16)} ${where.padEnd(28)} tells the ${tells === 'both' ? 'azimuth and the altitude' : tells}`,
      );
  return exitCode.done;
}
