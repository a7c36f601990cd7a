import { degree } from '../../calibration/angle.ts';
import { exitCode, Failure, type ExitCode } from '../failure.ts';
import { noteObserving } from '../night/noteStep.ts';
import { printJson, printResult, say } from '../output.ts';
import { clockCautions } from '../site/clock.ts';
import { parseInstant } from '../site/instant.ts';
import { parseSectors } from '../site/horizon.ts';
import type { Site } from '../site/site.ts';
import { mountSideOf } from '../sky/mountSide.ts';
import { notNowWords } from '../sky/mayTake.ts';
import { starlight, starlightJson } from '../sky/starlight.ts';
import { nameOf } from '../sky/target.ts';
import { sideJson, sideWords, untilWords } from '../steps/sideReport.ts';
import { sidesNow } from '../steps/sidesNow.ts';
import { loadRig, measuresOf } from '../store/rig.ts';
import { wrapped } from '../words/wrapForTerminal.ts';
import { cautions } from '../words/cautions.ts';
import { sayCautions } from './sayCautions.ts';
import { requireSite, type SiteOptions } from './siteOptions.ts';
import { targetOf, type TargetOptions } from './targetOptions.ts';
import { texts } from './words/side.ts';

export interface SideOptions extends SiteOptions, TargetOptions {
  list?: boolean;
  at: string;
  allow: string;
  rig?: string;
  horizon?: string;
  json?: boolean;
}

function allowedDegOf({ allow }: SideOptions): number {
  const value = allow.trim() === '' ? NaN : Number(allow);
  if (Math.abs(value) <= 45) return value;
  throw new Failure(
    exitCode.usage,
    `The altitude "${allow}" that the counterweight may reach is not a number of degrees.`,
    'Give -45 to 45; 0 is level.',
  );
}

/** The `side` command. */
export async function runSide(options: SideOptions): Promise<ExitCode> {
  const placed = await requireSite(options);
  const site = options.horizon === undefined ? placed : { ...placed, horizon: parseSectors(options.horizon) };
  const date = parseInstant(options.at);
  const allowedDeg = allowedDegOf(options);
  const measures = options.rig === undefined ? undefined : measuresOf(await loadRig(options.rig));
  if (options.rig !== undefined && !measures)
    throw new Failure(
      exitCode.badData,
      `The rig ${options.rig} lacks the dimensions of tube and tripod.`,
      'Add them as in the example of lodepole side --help.',
    );
  if (options.at === 'now') for (const caution of await clockCautions()) say(`Caution: ${caution}`);
  if (options.list) {
    if (options.at === 'now') await noteObserving(texts.noted);
    return list(site, date, allowedDeg, options);
  }
  const target = targetOf(options);
  const name = nameOf(target);
  const sideNow = mountSideOf(target, site, date, { allowedRad: allowedDeg * degree, measures });
  const notNow = notNowWords(target, site, date);
  if (notNow !== '') sayCautions(...new Set([cautions.sun, notNow]));
  if (options.json)
    printJson({ kind: 'side', ...(notNow !== '' && { reason: notNow }), ...sideJson(name, sideNow, date, allowedDeg) });
  else
    for (const line of sideWords(name, sideNow, date, allowedDeg, notNow)) printResult(wrapped(line, process.stdout));
  if (options.at === 'now') await noteObserving(texts.sideOf(name, sideNow.side));
  return exitCode.done;
}

const mostListed = 15;

/** The planets and the Moon where they can be seen, then the brightest stars. */
function list(site: Site, date: Date, allowedDeg: number, { json }: SideOptions): ExitCode {
  const light = starlight(site, date);
  const listed = sidesNow(site, date, allowedDeg, mostListed);
  if (json) {
    printJson({
      kind: 'sides',
      timeUtc: date.toISOString(),
      ...starlightJson(light),
      targets: listed.map(({ name, magnitude, where, sideNow }) => ({
        ...sideJson(name, sideNow, date, allowedDeg),
        magnitude,
        where,
      })),
    });
    return exitCode.done;
  }
  if (listed.length === 0) printResult(`${light.reason} ${light.whatToDo}`.trim() || texts.nothingVisible);
  for (const { name, where, sideNow } of listed) {
    printResult(texts.row(name.padEnd(15), where.padEnd(24), sideNow.side, untilWords(sideNow)));
  }
  return exitCode.done;
}
