import { degree } from '../../calibration/angle.ts';
import { exitCode, Failure, type ExitCode } from '../failure.ts';
import { noteOnce } from '../night/noteStep.ts';
import { printJson, printResult, say } from '../output.ts';
import { clockCautions } from '../site/clock.ts';
import { parseInstant } from '../site/instant.ts';
import { isHidden, parseSectors } from '../site/horizon.ts';
import type { Site } from '../site/site.ts';
import { mountSideOf, type MountSide } from '../sky/mountSide.ts';
import { placeOf, type Target } from '../sky/place.ts';
import { requireStarlight, starlight, starlightJson } from '../sky/starlight.ts';
import { nameOf, targetNamed } from '../sky/target.ts';
import { lowestAltitudeRad, visibleStars, whereWords } from '../sky/visible.ts';
import { sideJson, sideWords, untilWords } from '../steps/sideReport.ts';
import { loadRig, measuresOf } from '../store/rig.ts';
import { wrapped } from '../words/wrapForTerminal.ts';
import { cautions } from '../words/cautions.ts';
import { sayCautions } from './sayCautions.ts';
import { requireSite, type SiteOptions } from './siteOptions.ts';
import { targetOf, type TargetOptions } from './targetOptions.ts';

export interface SideOptions extends SiteOptions, TargetOptions {
  list?: boolean;
  at: string;
  allow: string;
  rig?: string;
  horizon?: string;
  json?: boolean;
}

const wanderers = ['moon', 'mercury', 'venus', 'mars', 'jupiter', 'saturn'];

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
      `The rig ${options.rig} has no measures of tube and tripod.`,
      'Add them as in the example of lodepole side --help.',
    );
  if (options.at === 'now') for (const caution of await clockCautions()) say(`Caution: ${caution}`);
  if (options.list) {
    if (options.at === 'now') await noteOnce('observe', 'The sides of the mount were looked up.');
    return list(site, date, allowedDeg, options);
  }
  const target = targetOf(options);
  const name = nameOf(target);
  const sideNow = mountSideOf(target, site, date, { allowedRad: allowedDeg * degree, measures });
  const notNow = whyNotNow(target, site, date);
  if (notNow !== '') sayCautions(...new Set([cautions.sun, notNow]));
  if (options.json)
    printJson({ kind: 'side', ...(notNow !== '' && { reason: notNow }), ...sideJson(name, sideNow, date, allowedDeg) });
  else
    for (const line of sideWords(name, sideNow, date, allowedDeg, notNow)) printResult(wrapped(line, process.stdout));
  if (options.at === 'now') await noteOnce('observe', `${name}: tube ${sideNow.side} of the mount.`);
  return exitCode.done;
}

/** Why a target may not be taken through an instrument at `date`, and when it may; empty where it may. */
function whyNotNow(target: Target, site: Site, date: Date): string {
  try {
    requireStarlight(target, site, date);
    return '';
  } catch (error) {
    if (!(error instanceof Failure)) throw error;
    return `${error.message} ${error.whatToDo}`;
  }
}

const mostListed = 15;

interface Listed {
  name: string;
  where: string;
  magnitude: number | null;
  sideNow: MountSide;
}

/** The planets and the Moon where they can be seen, then the brightest stars. */
function list(site: Site, date: Date, allowedDeg: number, { json }: SideOptions): ExitCode {
  const light = starlight(site, date);
  const isDark = light.faintestMagnitude > -Infinity;
  const shown = [
    ...(isDark ? wanderers : []).map(targetNamed).map((target) => ({ name: nameOf(target), magnitude: null, target })),
    ...visibleStars(site, date)
      .filter(({ star }) => star.magnitude <= light.faintestMagnitude)
      .sort((a, b) => a.star.magnitude - b.star.magnitude)
      .map(({ star }) => ({ name: star.name, magnitude: star.magnitude, target: { kind: 'star', star } as const })),
  ];
  const listed: Listed[] = [];
  for (const { name, magnitude, target } of shown) {
    if (listed.length === mostListed) break;
    const place = placeOf(target, site, date);
    if (
      place.refractedAltitudeRad < lowestAltitudeRad ||
      isHidden(site.horizon, place.azimuthRad, place.refractedAltitudeRad)
    )
      continue;
    const sideNow = mountSideOf(target, site, date, { allowedRad: allowedDeg * degree });
    listed.push({ name, magnitude, where: whereWords(place), sideNow });
  }
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
  if (listed.length === 0)
    printResult(`${light.reason} ${light.whatToDo}`.trim() || 'Nothing on the list is visible from here now.');
  for (const { name, where, sideNow } of listed) {
    printResult(`${name.padEnd(15)} ${where.padEnd(24)} tube ${sideNow.side}  ${untilWords(sideNow)}`);
  }
  return exitCode.done;
}
