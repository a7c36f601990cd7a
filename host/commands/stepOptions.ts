import { Option, type Command } from 'commander';
import type { SensorCorrection } from '../../calibration/correction.ts';
import type { TumbleCalibration } from '../../calibration/tumble/types.ts';
import type { Vector3 } from '../../calibration/vector.ts';
import { calibrationAt } from '../../calibration/warmth.ts';
import type { SceneName } from '../../firmware-proto/virtual/scenes.ts';
import { addCsvOptions, type CsvCommandOptions } from '../capture/csv/options.ts';
import type { Recording } from '../capture/recorded.ts';
import { exitCode, Failure } from '../failure.ts';
import type { LiveSession } from '../live/session.ts';
import { say } from '../output.ts';
import { sceneNamed } from '../sceneNamed.ts';
import { parseInstant } from '../site/instant.ts';
import type { Site } from '../site/site.ts';
import { addSiteOptions, siteOfOptions, type SiteOptions } from './siteOptions.ts';
import { readCalibrationFile } from '../store/calibrationFile.ts';
import type { ClippingOptions } from '../store/clipping.ts';
import { cautionsOfNamed, changeC, temperatureCautions } from '../store/belongs.ts';
import { findAxisModel, findCalibration } from '../store/profile.ts';
import { loadSite } from '../store/site.ts';
import { rehearseFast } from '../live/rehearseFast.ts';
import { texts } from './words/step.ts';

/** What swing, stand-off and level have in common. */
export interface StepOptions extends SiteOptions, ClippingOptions, CsvCommandOptions {
  from?: string;
  calibration?: string;
  port?: string;
  virtual?: string;
  seed?: string;
  date?: string;
  json?: boolean;
}

export const addStepOptions = (command: Command): Command =>
  addCsvOptions(
    addSiteOptions(command).option('--from <file>', "a capture or any logger's CSV instead of a live board"),
  )
    .option('--calibration <file>', 'the file written by `tumble --out` (default: the saved calibration of the board)')
    .option('--port <port>', 'the board on this port; any: on any USB port (default: the first known one that answers)')
    .option('--virtual <scene>', 'the virtual board, moved by virtual hands: orchard or woolshed, both invented')
    .option('--seed <number>', 'each number gives another virtual mount, iron and chips')
    .option('--date <date>', 'date for the magnetic model (default: now)')
    .addOption(asFastAsAlways())
    .option('--json', 'one JSON object on stdout');

/** What other commands need for a virtual board without the emulated processor; these never run it. */
export const asFastAsAlways = (): Option => new Option('--fast').hideHelp();

export const dateOf = ({ date }: StepOptions): Date => (date === undefined ? new Date() : parseInstant(date));

/** The site of the options, of the file, or the saved one; undefined when there is none. */
export const siteFor = async (options: StepOptions, recording?: Recording): Promise<Site | undefined> =>
  siteOfOptions(options) ?? recording?.site ?? (await loadSite());

/** Opens a live session: never the virtual board unless it was asked for. */
export async function openForStep(command: string, options: StepOptions): Promise<LiveSession> {
  const { openAsked } = await import('../live/openAsked.ts');
  const { askAboutPorts, sayLooking } = await import('./askAboutPorts.ts');
  await askAboutPorts(options);
  sayLooking(command, options);
  const seed = options.seed === undefined ? undefined : Number(options.seed);
  if (seed !== undefined && !(Number.isInteger(seed) && seed >= 0)) {
    throw new Failure(exitCode.usage, `The seed "${options.seed}" is not a whole number.`, 'Give --seed 7.');
  }
  return openAsked({
    port: options.port,
    virtual: options.virtual,
    seed,
    isFast: true,
    site: siteOfOptions(options),
    calibration: options.calibration,
    mount: options.mount,
    clip: options.clip,
  });
}

/**
 * The calibration of the options, else the kept one of the board, for the warmth of the board now. Throws Failure when there is
 * none that fits, or the one that is named belongs to another board.
 */
export async function calibrationFor(
  options: StepOptions,
  from: { recording?: Recording; session?: LiveSession },
  temperatureC?: number,
): Promise<TumbleCalibration> {
  const hello = from.recording?.hello ?? from.session?.hello?.();
  const nowC = temperatureC ?? (from.session && (await warmthOf(from.session)));
  const warn = (cautions: readonly string[]): void => cautions.forEach((caution) => say(`Caution: ${caution}`));
  if (options.calibration !== undefined) {
    const kept = await readCalibrationFile(options.calibration);
    if (hello) warn(cautionsOfNamed(options.calibration, kept, hello));
    warn(temperatureCautions('calibration', kept.temperatureC, nowC));
    return calibrationAt(kept.calibration, changeC(kept, nowC, hello));
  }
  let reason = texts.uncalibrated;
  if (hello) {
    const found = await findCalibration(hello, nowC);
    if ('calibration' in found) {
      warn(found.cautions);
      return found.calibration;
    }
    reason = found.reason;
  }
  const scene = sceneOf(options, from.session);
  if (scene) {
    say(texts.virtualTumbled);
    return rehearseFast(scene, { seed: Number(options.seed ?? 1) }).calibration;
  }
  throw new Failure(
    exitCode.usage,
    `No calibration is given. ${reason}`,
    'Tumble first: lodepole tumble --out board.json; then give --calibration board.json',
  );
}

const sceneOf = ({ virtual }: StepOptions, session: LiveSession | undefined): SceneName | undefined =>
  session?.virtual && virtual !== undefined ? sceneNamed(virtual) : undefined;

/** A board that has just answered sends its first sample within this time. */
const firstSampleMs = 2000;

/** Temperature of the board now; undefined where it sends nothing. */
async function warmthOf(session: LiveSession): Promise<number | undefined> {
  const latest = session.latest();
  if (latest) return latest.temperatureC;
  return new Promise((resolve) => {
    const end = (temperatureC?: number): void => {
      clearTimeout(timer);
      stop();
      resolve(temperatureC);
    };
    const timer = setTimeout(end, firstSampleMs);
    const stop = session.onSample(({ temperatureC }) => end(temperatureC));
  });
}

/**
 * What takes the most out of a reading on the mount: the kept swing's correction where it fits, with the axis that it holds
 * for, else the tumble's.
 */
export async function correctionFor(
  options: StepOptions,
  from: { recording?: Recording; session?: LiveSession },
  site: Site | undefined,
): Promise<{ correction: SensorCorrection; axisInBoard?: Vector3 }> {
  const hello = from.recording?.hello ?? from.session?.hello?.();
  const swung =
    hello && site && options.calibration === undefined ? await findAxisModel(hello, site, options) : undefined;
  if (swung && 'model' in swung) return swung.model;
  const scene = options.calibration === undefined ? sceneOf(options, from.session) : undefined;
  if (scene) {
    say(texts.virtualSwung);
    return rehearseFast(scene, { seed: Number(options.seed ?? 1) }).swing.axisModel;
  }
  if (swung && 'reason' in swung) say(swung.reason);
  return { correction: (await calibrationFor(options, from)).correction };
}
