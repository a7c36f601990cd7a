import { readFile } from 'node:fs/promises';
import { arcminute, arcsecond } from '../../calibration/angle.ts';
import { readFault } from '../fileFault.ts';
import { exitCode, Failure, type ExitCode } from '../failure.ts';
import { printJson, printResult, say } from '../output.ts';
import { parseInstant } from '../site/instant.ts';
import { requireSite, type SiteOptions } from './siteOptions.ts';
import type { Site } from '../site/site.ts';
import { tellResult } from './tellResult.ts';
import { rounded } from '../words/figures.ts';
import { answerFrom } from '../night/nightEstimates.ts';
import { keepEstimate, loadNight } from '../night/nightFile.ts';
import { bandSigmas } from '../words/reading.ts';
import { truthWords } from '../words/truth.ts';
import { driftStars, judgeDrift, requireSeen, roughCovariance, type DriftOutcome } from '../steps/drift.ts';
import { parseDriftReadings, type TypedReading } from '../steps/driftFile.ts';
import { practiceNight } from '../practice/practiceNight.ts';
import { reticleLines } from './reticle.ts';
import { axisJson, axisWords, truthJson } from '../steps/sightReport.ts';
import { requireStarlight } from '../sky/mayTake.ts';
import { noStarWords, starlight, starlightJson } from '../sky/starlight.ts';
import { cautions } from '../words/cautions.ts';
import { sayCautions, sayDaylight } from './sayCautions.ts';
import { typeReadings, type PracticeTube } from './typeReadings.ts';
import { VirtualWatch } from '../practice/driftWatch.ts';
import { texts } from './words/drift.ts';

export interface DriftOptions extends SiteOptions {
  from?: string;
  star?: string;
  at: string;
  division?: string;
  field?: string;
  pixelScale?: string;
  error?: string;
  list?: boolean;
  keep?: boolean;
  minutes: string;
  virtual?: string;
  seed?: string;
  json?: boolean;
}

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
  sayCautions(cautions.sun, cautions.clutch, cautions.rules);
  if (options.virtual !== undefined) return practise(options, options.virtual);
  const site = await requireSite(options);
  if (options.list) return listStars(options, site, parseInstant(options.at));
  const unitRad = unitOf(options);
  const errorRad = options.error === undefined ? undefined : positive('error', options.error) * unitRad;
  const readings = await readingsOf(options, site);
  sayDaylight(readings, site);
  const outcome = judgeDrift(readings, site, unitRad, errorRad);
  if (options.from === undefined || options.keep) {
    say(await keepEstimate({ kind: 'drift', utcMs: lastOf(readings), ...outcome.fit }));
  }
  return tellResult(
    'drift',
    { accepted: true, gates: outcome.gates },
    driftJson(outcome, site),
    driftWords(outcome),
    options.json,
  );
}

/** A reticle of this size where the virtual eyepiece is read by a person and nothing else is told. */
const usualDivisionArcsec = 12;

/** On a virtual mount: by virtual hands, or with a star named by a person who reads the virtual eyepiece. */
async function practise(options: DriftOptions, scene: string): Promise<ExitCode> {
  if (options.from !== undefined || options.keep) {
    throw new Failure(
      exitCode.usage,
      'A virtual mount has no file and no log of its own.',
      'Leave out --from and --keep, or --virtual.',
    );
  }
  const { night, seed } = practiceNight(
    scene,
    options.seed ?? '1',
    say,
    options.at === 'now' ? undefined : parseInstant(options.at),
  );
  if (options.list) return listStars(options, night.site, night.now());
  const minutes = positive('time', options.minutes);
  say(texts.simulatedMount);
  const watch = new VirtualWatch(night);
  const isTyped = options.star !== undefined;
  const unitRad =
    isTyped && [options.division, options.field, options.pixelScale].every((unit) => unit === undefined)
      ? usualDivisionArcsec * arcsecond
      : unitOf(options);
  const readings = isTyped
    ? await typeReadings(options.star ?? '', { tube: tubeOf(watch, unitRad) })
    : watch.byHands(minutes, say).map((reading) => ({ ...reading, north: (reading.north * arcsecond) / unitRad }));
  const errorRad = options.error === undefined ? undefined : positive('error', options.error) * unitRad;
  const outcome = judgeDrift(readings, night.site, unitRad, errorRad);
  const truth = night.world.truth();
  say(texts.practised);
  return tellResult(
    'drift',
    { accepted: true, gates: outcome.gates },
    {
      ...driftJson(outcome, night.site),
      source: texts.virtualMount(scene),
      seed,
      truth: truthJson(truth),
    },
    [...driftWords(outcome), truthWords(truth)],
    options.json,
  );
}

const tubeOf = (watch: VirtualWatch, unitRad: number): PracticeTube => ({
  follow: (star) => watch.follow(star),
  utc: () => watch.utc(),
  pass: () => watch.pass(),
  picture: () => {
    const northRad = watch.look();
    const size =
      unitRad < 60 * arcsecond ? `${rounded(unitRad / arcsecond, 1)}″` : `${rounded(unitRad / arcminute, 1)}′`;
    return [
      texts.watched((watch.watchedS() / 60).toFixed(1), size),
      ...reticleLines(northRad === undefined ? undefined : northRad / unitRad, process.stderr.columns),
    ];
  },
});

const lastOf = (readings: readonly TypedReading[]): number => Math.max(...readings.map(({ utc }) => utc.getTime()));

async function readingsOf(options: DriftOptions, site: Site): Promise<TypedReading[]> {
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
      'Give --star NAME and type the readings; --list names the best stars. Or practise: lodepole drift --virtual orchard',
    );
  }
  return typeReadings(options.star, {
    mayFollow: (star) => {
      requireStarlight({ kind: 'star', star }, site, new Date());
      requireSeen(star, site, new Date());
    },
  });
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
    return texts.drifts(stars[index].name, rate < 0, Math.abs(rate).toFixed(2), band.toFixed(2));
  });
  if (stars.length === 1) lines.push(texts.oneStarOneDirection);
  return [...lines, ...axisWords(fit)];
}

const asArgument = (name: string): string => (name.includes(' ') ? `"${name}"` : name);

async function listStars(options: DriftOptions, site: Site, date: Date): Promise<ExitCode> {
  const minutes = positive('time', options.minutes);
  const { entries, cautions } = await loadNight(date);
  for (const caution of cautions) say(caution);
  const known = answerFrom(entries, site.latitudeRad, date.getTime())?.axisCovariance ?? roughCovariance;
  const ranked = driftStars(site, date, known, minutes);
  const list = (['azimuth', 'altitude', 'both'] as const).flatMap((what) =>
    ranked.filter(({ tells }) => tells === what).slice(0, 4),
  );
  const light = starlight(site, date);
  if (options.json) {
    printJson({
      timeUtc: date.toISOString(),
      ...starlightJson(light),
      stars: list.map(({ star, where, tells, sigmaAfterRad }) => ({
        star: star.name,
        where,
        tells,
        sigmaAfterArcmin: rounded(sigmaAfterRad / arcminute, 2),
      })),
    });
  } else if (list.length === 0) printResult(noStarWords(light));
  else {
    if (light.reason !== '') say(light.reason);
    for (const { star, where, tells } of list)
      printResult(
        texts.shows(star.name.padEnd(16), where.padEnd(28), tells === 'both' ? 'azimuth and the altitude' : tells),
      );
    const practice = options.virtual === undefined ? '' : ` --virtual ${options.virtual}`;
    say(texts.watchOneThenOther(practice, asArgument(list[0].star.name)));
  }
  return exitCode.done;
}
