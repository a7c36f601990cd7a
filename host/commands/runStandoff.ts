import type { StandoffOptions, StandoffResult } from '../../calibration/standoff/types.ts';
import type { Vector3 } from '../../calibration/vector.ts';
import type { Hands } from '../../firmware-proto/virtual/hands.ts';
import { csvOptionsOf } from '../capture/csv/options.ts';
import { exitCode, Failure, type ExitCode } from '../failure.ts';
import { say } from '../output.ts';
import { cautions } from '../words/cautions.ts';
import { checkKeepsStandoff, keepStandoffDeviation } from '../store/deviation.ts';
import type { Site } from '../site/site.ts';
import { feedStep } from './feedStep.ts';
import { siteOfOptions } from './siteOptions.ts';
import { readDwells } from './readDwells.ts';
import { tellResult } from './tellResult.ts';
import { inDeg, rounded } from '../words/figures.ts';
import { sayCautions } from './sayCautions.ts';
import { correctionFor, dateOf, openForStep, siteFor, type StepOptions } from './stepOptions.ts';
import { fitSpacers, keptDeviation, spacerReading, standoffOptions, StandoffStep } from '../steps/standoffStep.ts';
import { standoffWords, stayWords } from '../steps/standoffWords.ts';
import { swingSite } from '../site/swingSite.ts';
import { texts } from './words/standoff.ts';

export interface StandoffCommandOptions extends StepOptions {
  spacers: string;
  /** Millimetres of the spacer that the board stays on; true: none. */
  keep?: string | true;
  /** Clamped to a virtual mount, microtesla at the board. */
  iron?: string;
}

/** The `standoff` command. */
export async function runStandoff(options: StandoffCommandOptions): Promise<ExitCode> {
  const spacersMm = parseSpacers(options.spacers);
  const ironNt = parseIron(options);
  const stayOnMm = options.keep === undefined ? undefined : parseSpacer(options.keep);
  if (stayOnMm !== undefined && options.from === undefined) await checkKeep(options);
  const { result, site } =
    options.from === undefined
      ? await standoffLive(options, spacersMm, ironNt)
      : await standoffFromFile(options, options.from, spacersMm);
  const kept = stayOnMm === undefined ? exitCode.done : await keep(result, site, stayOnMm, dateOf(options));
  const code = tellResult('standoff', result, standoffJson(result), standoffWords(result), options.json);
  return code === exitCode.done ? kept : code;
}

async function checkKeep(options: StandoffCommandOptions): Promise<void> {
  if (options.virtual === undefined) return checkKeepsStandoff(siteOfOptions(options));
  throw new Failure(exitCode.usage, 'No deviation is saved for an invented scene.', 'Leave out --keep, or --virtual.');
}

/** A measurement that cannot be kept is still told. */
async function keep(result: StandoffResult, site: Site | undefined, stayOnMm: number, date: Date): Promise<ExitCode> {
  if (!result.accepted) say(texts.refusedSoNotSaved);
  else if (!site) say(texts.noSiteSoNotSaved);
  else {
    try {
      await keepStandoffDeviation(site, keptDeviation(result, stayOnMm, date));
      say(texts.saved(stayWords(stayOnMm)));
      return exitCode.done;
    } catch (error) {
      if (!(error instanceof Failure)) throw error;
      say(`${error.message} ${error.whatToDo}`);
    }
  }
  return exitCode.usage;
}

/** `0,50,100,150` */
const exampleMm = (count: number): string =>
  Array.from({ length: Math.min(count, 6) }, (_, i) => 50 * i).join(',') + (count > 6 ? ',...' : '');

interface Measured {
  result: StandoffResult;
  /** Where it was measured, unless that is invented. */
  site?: Site;
}

async function standoffFromFile(
  options: StandoffCommandOptions,
  from: string,
  spacersMm: readonly number[],
): Promise<Measured> {
  const { dwells, recording } = await readDwells(from, { csv: csvOptionsOf(options) });
  if (dwells.length !== spacersMm.length) {
    throw new Failure(
      exitCode.badData,
      `${from} holds ${dwells.length} rests, but ${spacersMm.length} spacers are named.`,
      dwells.length < spacersMm.length
        ? 'If the board was moved gently, its rests run together: lift it clearly for each change, or stop the logger meanwhile, and let it rest for two seconds on each. Or name fewer: --spacers 0,100'
        : `Name one spacer for each rest, in order, ${dwells.length} lengths in all: --spacers ${exampleMm(dwells.length)}`,
    );
  }
  const site = await siteFor(options, recording);
  const { correction, axisInBoard } = await correctionFor(options, { recording }, site);
  const result = fitSpacers(
    dwells.map((dwell, i) => spacerReading(dwell, spacersMm[i], correction)),
    knownOf(options, site, axisInBoard),
  );
  return { result, site };
}

async function standoffLive(
  options: StandoffCommandOptions,
  spacersMm: readonly number[],
  ironNt: number,
): Promise<Measured> {
  sayCautions(cautions.spacer);
  const session = await openForStep('standoff', options);
  try {
    await clampIron(session.virtual?.hands, ironNt);
    const { correction, axisInBoard } = await correctionFor(options, { session }, session.site);
    const step = new StandoffStep({ correction }, knownOf(options, session.site, axisInBoard));
    let next = 0;
    step.onSpacer(spacersMm[next]);
    await feedStep(
      session,
      {
        offer: (sample) => step.offer(sample),
        words: () => {
          const { currentMm, restCounts, instruction } = step.progress();
          const nextMm = spacersMm.at(next + 1);
          const then = nextMm === undefined ? texts.enough : changeWords(nextMm);
          return `${onWords(currentMm)}. ${restCounts ? then : instruction}`;
        },
        onLine: () => {
          const nextMm = spacersMm.at(next + 1);
          if (nextMm === undefined) return true;
          try {
            step.onSpacer(nextMm);
            next += 1;
          } catch (error) {
            if (!(error instanceof Failure)) throw error;
            say(`${error.message} ${error.whatToDo}`);
          }
          return false;
        },
        isEnough: () => false,
        hands: async ({ virtual }) => {
          for (const [i, millimetres] of spacersMm.entries()) {
            virtual?.hands.setSpacer(millimetres);
            await virtual?.hands.whenDone();
            if (i > 0) step.onSpacer(millimetres);
            next = i;
            virtual?.hands.rest(2.5);
            await virtual?.hands.whenDone();
          }
        },
      },
      session.virtual !== undefined,
    );
    return { result: step.finish(), site: session.virtual !== undefined ? undefined : session.site };
  } finally {
    await session.close();
  }
}

/** Something to find, in practice. */
async function clampIron(hands: Hands | undefined, ironNt: number): Promise<void> {
  if (!hands || ironNt === 0) return;
  say(texts.handsClamp(ironNt / 1000));
  hands.clampIron(ironNt);
  await hands.whenDone();
}

const onWords = (currentMm = 0): string => (currentMm > 0 ? texts.onSpacer(currentMm) : texts.withoutSpacer);

const changeWords = (nextMm: number): string => (nextMm > 0 ? texts.putSpacer(nextMm) : texts.takeSpacerAway);

/** @param axisInBoard of the kept swing that took the turning iron out, if any did */
function knownOf(options: StepOptions, site: Site | undefined, axisInBoard: Vector3 | undefined): StandoffOptions {
  return standoffOptions(site && swingSite(site, dateOf(options)), axisInBoard);
}

const usualIronUt = 1.5;
const mostIronUt = 50;

/** In nanotesla. Throws Failure. */
function parseIron({ iron, virtual }: StandoffCommandOptions): number {
  if (iron === undefined) return virtual === undefined ? 0 : usualIronUt * 1000;
  if (virtual === undefined)
    throw new Failure(
      exitCode.usage,
      'Only virtual hands clamp iron to a mount.',
      'Give --iron with --virtual orchard.',
    );
  const ironUt = iron.trim() === '' ? NaN : Number(iron);
  if (ironUt >= 0 && ironUt <= mostIronUt) return ironUt * 1000;
  throw new Failure(
    exitCode.usage,
    `"${iron}" is no field of iron.`,
    `Give microtesla from 0 to ${mostIronUt}: --iron 1.5`,
  );
}

function parseSpacer(text: string | true): number {
  const length = text === true ? 0 : text.trim() === '' ? NaN : Number(text);
  if (length >= 0 && length <= 2000) return length;
  throw new Failure(exitCode.usage, `"${text}" is not a spacer length.`, 'Give millimetres from 0 to 2000: --keep 120');
}

function parseSpacers(text: string): number[] {
  const lengths = text.split(',').map((part) => (part.trim() === '' ? NaN : Number(part)));
  if (lengths.some((length) => !(length >= 0 && length <= 2000)) || new Set(lengths).size < 2) {
    throw new Failure(
      exitCode.usage,
      `"${text}" is not a list of spacer lengths.`,
      'Give two or more different lengths in millimetres from 0 to 2000: --spacers 0,50,100',
    );
  }
  return lengths;
}

function standoffJson(result: StandoffResult): Record<string, unknown> {
  return {
    deviationDeg: inDeg(result.deviationRad),
    sigmaDeviationDeg: inDeg(result.sigmaDeviationRad),
    ironNt: rounded(result.ironNt, 1),
    sigmaIronNt: rounded(result.sigmaIronNt, 1),
    ironDistanceM: rounded(result.distanceM, 4),
    sigmaIronDistanceM: rounded(result.distanceM * result.sigmaLogDistance, 4),
    fieldNt: rounded(result.strengthNt, 1),
    sigmaFieldNt: rounded(result.sigmaStrengthNt, 1),
    dipDeg: inDeg(result.dipRad),
    sigmaDipDeg: inDeg(result.sigmaDipRad),
    spacerNeededM: rounded(result.spacerNeededM, 3),
    misfit: rounded(result.misfit),
    deviations: result.deviationsRad.map(({ spacerM, deviationRad }) => ({
      spacerM,
      deviationDeg: inDeg(deviationRad),
    })),
  };
}
