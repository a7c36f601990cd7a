import { practiceNight } from '../practice/practiceNight.ts';
import { writeFile } from 'node:fs/promises';
import { createInterface } from 'node:readline';
import { arcminute, degree } from '../../calibration/angle.ts';
import { roughPrior, type SightPrior } from '../../calibration/sight/sightPrior.ts';
import type { SightOptions } from './sightOptions.ts';
import { writeFault } from '../fileFault.ts';
import { exitCode, Failure, type ExitCode } from '../failure.ts';
import type { LiveSession, Needles } from '../live/session.ts';
import { printJson, printResult, say } from '../output.ts';
import { parseInstant } from '../site/instant.ts';
import { requireSite } from './siteOptions.ts';
import { tellResult } from './tellResult.ts';
import { rounded } from '../words/figures.ts';
import { openForStep } from './stepOptions.ts';
import { keepEstimate } from '../night/nightFile.ts';
import { truthWords } from '../words/truth.ts';
import type { Site } from '../site/site.ts';
import { sightsJson, sightsWords, truthJson } from '../steps/sightReport.ts';
import { placeOf } from '../sky/place.ts';
import { seenDirection } from '../sky/visible.ts';
import { equatorialOf } from '../../calibration/equatorial.ts';
import { firstModel, needlesAtRest, waitFor } from './boardAtRest.ts';
import { judgeNight, nextStars, type NextStar, type SightsOutcome, type TimedSight } from '../steps/sights.ts';
import { parseAxis, parseSide, readSights, sightRow, sightsHeader } from '../steps/sightsFile.ts';
import { SightStep } from '../steps/sightStep.ts';
import { minuteWords, noStarWords, starlight, starlightJson } from '../sky/starlight.ts';
import { utcOf } from '../live/eyepiece.ts';
import { cautions } from '../words/cautions.ts';
import { sayCautions, sayDaylight } from './sayCautions.ts';
import { texts } from './words/sight.ts';

/** A shaft set level by eye or with a small spirit level (common practice). */
const sigmaShaftRad = 0.25 * degree;

function shaftZero(text: string | undefined): SightPrior['rollZero'] {
  if (text === undefined) return undefined;
  const roll = Number(text);
  if (text.trim() !== '' && Number.isFinite(roll)) return { valueRad: roll * degree, sigmaRad: sigmaShaftRad };
  throw new Failure(exitCode.usage, `"${text}" is not a roll in degrees.`, 'Give --shaft-level 12.3');
}

/** Four numbers in arcminutes: altitude error, its sigma, azimuth error, its sigma. */
function needlesPrior(text: string | undefined): Partial<SightPrior> {
  if (text === undefined) return {};
  const parts = text.split(',').map(Number);
  const [altitude, sigmaAltitude, azimuth, sigmaAzimuth] = parts.map((part) => part * arcminute);
  if (parts.length !== 4 || !parts.every(Number.isFinite) || !(sigmaAltitude > 0) || !(sigmaAzimuth > 0)) {
    throw new Failure(
      exitCode.usage,
      `"${text}" is not four numbers.`,
      'Give --needles altitude,sigma,azimuth,sigma in arcminutes, as in --needles 12,4,-30,24',
    );
  }
  return {
    altitudeError: { valueRad: altitude, sigmaRad: sigmaAltitude },
    azimuthError: { valueRad: azimuth, sigmaRad: sigmaAzimuth },
  };
}

const priorOf = (options: SightOptions): SightPrior => ({
  ...roughPrior,
  ...needlesPrior(options.needles),
  rollZero: shaftZero(options.shaftLevel),
});

/** No star is recommended after the sights of a file that are older than this. */
const pastMs = 20 * 60_000;

/** The `sight` command. */
export async function runSight(options: SightOptions): Promise<ExitCode> {
  if (options.sun) return (await import('./runSun.ts')).runSun(options);
  sayCautions(cautions.sun, cautions.clutch, cautions.rules);
  if (options.list) return listStars(options);
  if (options.from === undefined) return sightLive(options);
  const site = await requireSite(options);
  const axis = options.axis === undefined ? undefined : parseAxis(options.axis);
  const timed = await readSights(options.from, site.latitudeRad, axis);
  const prior = priorOf(options);
  const now = new Date(Math.max(...timed.map(({ utc }) => utc.getTime())));
  const isPast = Math.abs(Date.now() - now.getTime()) > pastMs;
  const outcome = judgeNight(timed, site, now, prior, isPast);
  sayDaylight(timed, site);
  if (options.keep) await keep(outcome, now, options.needles !== undefined);
  return finish(outcome, timed, site, options);
}

/** Only what passed its gates is kept. */
async function keep({ fit, gates }: SightsOutcome, date: Date, restsOnCompass: boolean): Promise<void> {
  if (!fit || gates.length > 0) return;
  say(await keepEstimate({ kind: 'sights', utcMs: date.getTime(), ...fit }, { restsOnCompass }));
}

/** Best first, after the sights of the file where one is named: a star that was taken is not named again. */
async function starsToTake(options: SightOptions, site: Site, date: Date): Promise<NextStar[]> {
  if (options.from === undefined) return nextStars(undefined, site, date, []);
  const axis = options.axis === undefined ? undefined : parseAxis(options.axis);
  const taken = await readSights(options.from, site.latitudeRad, axis);
  const prior = priorOf(options);
  const { fit } = judgeNight(taken, site, date, prior);
  return nextStars(
    fit,
    site,
    date,
    taken.map(({ star }) => star),
    prior,
  );
}

/** Of a practised list a night of the invented scene, unless another instant is given. */
async function whereAndWhen(options: SightOptions): Promise<{ site: Site; date: Date }> {
  const given = options.at === 'now' ? undefined : parseInstant(options.at);
  if (options.virtual === undefined) return { site: await requireSite(options), date: given ?? new Date() };
  const { night } = practiceNight(options.virtual, options.seed ?? '1', say, given);
  return { site: night.site, date: night.now() };
}

async function listStars(options: SightOptions): Promise<ExitCode> {
  const { site, date } = await whereAndWhen(options);
  const stars = (await starsToTake(options, site, date)).slice(0, 12);
  const light = starlight(site, date);
  if (options.json) {
    printJson({
      timeUtc: date.toISOString(),
      ...starlightJson(light),
      stars: stars.map(({ star, side, where, sigmaAfterNextRad }) => ({
        star: star.name,
        side,
        where,
        sigmaAfterTwoArcmin: rounded(sigmaAfterNextRad / arcminute, 1),
      })),
    });
  } else if (stars.length === 0) printResult(noStarWords(light));
  else if (light.reason !== '') say(light.reason);
  for (const { star, side, where } of options.json ? [] : stars) {
    printResult(texts.row(star.name.padEnd(16), where.padEnd(28), side));
  }
  if (stars.length > 0 && !options.json) say(texts.takeFirst);
  return exitCode.done;
}

async function finish(
  outcome: SightsOutcome,
  timed: readonly TimedSight[],
  site: Site,
  options: SightOptions,
  truth?: Needles['truth'],
): Promise<ExitCode> {
  if (options.out !== undefined) {
    try {
      await writeFile(options.out, `${[sightsHeader, ...timed.map(sightRow)].join('\n')}\n`);
    } catch (error) {
      throw writeFault(options.out, error);
    }
  }
  const accepted = outcome.gates.every(({ verdict }) => verdict !== 'stop');
  return tellResult(
    'sight',
    { accepted, gates: outcome.gates },
    { ...sightsJson(outcome, timed, site), ...(truth && { truth: truthJson(truth) }) },
    [...sightsWords(outcome, timed.length, site.latitudeRad), ...(truth ? [truthWords(truth)] : [])],
    options.json,
  );
}

async function sightLive(options: SightOptions): Promise<ExitCode> {
  const session = await openForStep('sight', { ...options, from: undefined });
  try {
    const site = session.site ?? (await requireSite(options));
    const model = await firstModel(session);
    const sky = (): Date => utcOf(session);
    const { reason, whatToDo } = starlight(site, sky());
    if (reason !== '') say(texts.caution(reason, whatToDo).trim());
    const step = new SightStep(model, site, await needlesAtRest(session), sky);
    const stop = session.onSample((sample) => step.offer(sample));
    if (session.virtual !== undefined) await virtualSights(session, step, site);
    else await converse(session, step);
    stop();
    const outcome = step.finish();
    if (session.virtual === undefined) await keep(outcome, new Date(), true);
    const code = await finish(outcome, step.sights(), site, options, session.latest()?.truth);
    if (session.virtual !== undefined) say(texts.practised);
    return code;
  } finally {
    await session.close();
  }
}

/** Sights that the virtual hands take. */
const virtualCount = 6;

async function virtualSights(session: LiveSession, step: SightStep, site: Site): Promise<void> {
  say(texts.handsTake(minuteWords(utcOf(session))));
  for (let taken = 0; taken < virtualCount; taken += 1) {
    const next = step.recommendation();
    if (!next) break;
    say(texts.centring(next.star.name, next.where, next.side));
    const placeAt = (utc: Date) =>
      equatorialOf(seenDirection(placeOf({ kind: 'star', star: next.star }, site, utc)), site.latitudeRad);
    await session.virtual?.eyepiece.centre(placeAt, next.side);
    step.press(next.star.name, session.virtual?.eyepiece.pressUtc() ?? new Date(), next.side);
    await waitFor(() => (step.progress().isReading ? undefined : true), texts.noRest);
  }
}

async function converse(session: LiveSession, step: SightStep): Promise<void> {
  say(texts.howToTake);
  const lines = createInterface({ input: process.stdin });
  let before: ReturnType<LiveSession['latest']>;
  let said = '';
  const tell = (): void => {
    const { instruction } = step.progress();
    if (instruction !== said) say(instruction);
    said = instruction;
  };
  const ticker = setInterval(tell, 200);
  tell();
  try {
    for await (const typed of lines) {
      const line = typed.trim();
      if (line === 'q') break;
      try {
        if (line === 'u') step.undo();
        else if (line === 'n') before = nudge(session, step, before);
        else press(step, line);
      } catch (error) {
        if (!(error instanceof Failure)) throw error;
        say(`${error.message} ${error.whatToDo}`);
      }
    }
  } finally {
    clearInterval(ticker);
    lines.close();
  }
}

function nudge(session: LiveSession, step: SightStep, before: ReturnType<LiveSession['latest']>) {
  const now = session.latest();
  if (!now) throw new Failure(exitCode.noBoard, 'No needle is shown.', 'Wait for the board.');
  if (!before) {
    say(texts.turnBolts);
    return now;
  }
  step.nudged(before, now);
  say(texts.sightsCount);
  return undefined;
}

function press(step: SightStep, line: string): void {
  const words = line.split(/\s+/);
  const last = words[words.length - 1];
  const side = /^(w|e|west|east)$/i.test(last) ? parseSide(words.pop()!) : undefined;
  const name = words.join(' ') || step.recommendation()?.star.name;
  if (!name) throw new Failure(exitCode.usage, 'No star is recommended now.', 'Type the name of the star.');
  step.press(name, new Date(), side);
}
