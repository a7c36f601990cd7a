import { writeFile } from 'node:fs/promises';
import { answerOf } from '../../calibration/answer.ts';
import { arcminute, degree } from '../../calibration/angle.ts';
import { isSceneName, scenes } from '../../firmware-proto/virtual/scene.ts';
import type { NightOptions } from '../commands/night.ts';
import { writeFault } from '../fileFault.ts';
import { exitCode, Failure, type ExitCode } from '../failure.ts';
import { printJson, printResult, say } from '../output.ts';
import { positionText } from '../site/coordinates.ts';
import type { Site } from '../site/site.ts';
import { inDeg } from '../steps/report.ts';
import { estimatesOf, loadNight } from '../store/night.ts';
import { loadSite } from '../store/site.ts';
import { truthWords } from '../words/truth.ts';
import { nightHtml, nightJson, nightText, type NightAccount } from './nightReport.ts';
import { placeOf } from './place.ts';
import { VirtualNight } from './rehearseNight.ts';
import { targetNamed } from './target.ts';

/** The `night` command. */
export async function runNight(options: NightOptions): Promise<ExitCode> {
  const { account, truth, known } = options.virtual === undefined ? { account: await kept() } : rehearsed(options);
  if (options.html !== undefined) await write(options.html, nightHtml(account));
  if (options.json) printJson({ ...nightJson(account), ...truth });
  else for (const line of [...nightText(account), ...(known === undefined ? [] : [known])]) printResult(line);
  return exitCode.done;
}

async function kept(): Promise<NightAccount> {
  const entries = await loadNight();
  const site = await loadSite();
  const estimates = estimatesOf(entries);
  if (!site) return { entries };
  return {
    place: `${site.name ? `${site.name}, ` : ''}${positionText(site)}`,
    entries,
    latitudeRad: site.latitudeRad,
    ...(estimates.length > 0 && { answer: answerOf(estimates, site.latitudeRad, Date.now()) }),
  };
}

const sightCount = 6;
const watchMinutes = 5;
const darkRad = -9 * degree;
const stepMs = 15 * 60_000;
const dayMs = 24 * 3_600_000;

/** The first time from now on at which stars can be seen. */
function darkTime(site: Site): Date {
  const now = Date.now();
  const sun = targetNamed('sun');
  for (let ms = now; ms < now + dayMs; ms += stepMs) {
    if (placeOf(sun, site, new Date(ms)).altitudeRad < darkRad) return new Date(ms);
  }
  throw new Failure(exitCode.refused, 'The Sun does not set there.', 'Choose the other scene.');
}

/** Compass, nudge, sights, nudge, drift, nudge, lock by virtual hands that see needles, clock and eyepiece. */
function rehearsed({ virtual: scene = '', seed }: NightOptions) {
  if (!isSceneName(scene)) {
    throw new Failure(
      exitCode.usage,
      `There is no scene "${scene}".`,
      `The scenes are: ${Object.keys(scenes).join(', ')}.`,
    );
  }
  const number = Number(seed);
  if (!Number.isInteger(number)) throw new Failure(exitCode.usage, `"${seed}" is no seed.`, 'Give a whole number.');
  say(scenes[scene].words);
  say(
    'Hands, mount and eyepiece are simulated; the errors are found from the samples of the board, the clock and the eye.',
  );
  const start = darkTime(scenes[scene].place);
  say(`It begins at ${start.toISOString().slice(0, 16).replace('T', ' ')} UTC, when it is dark there.`);
  const night = new VirtualNight(scene, number, start);
  night.nudge(5 * arcminute);
  night.noteCompass();
  night.takeSights(sightCount);
  night.takeOver();
  night.nudge(2 * arcminute);
  night.watchDrift(watchMinutes);
  night.takeOver();
  night.nudge(1.5 * arcminute);
  night.lock();
  const real = night.world.truth();
  const account: NightAccount = {
    place: `${scene}, an invented scene`,
    entries: night.log,
    latitudeRad: night.site.latitudeRad,
    answer: night.answer(),
  };
  const truth = {
    scene,
    seed: number,
    truth: {
      altitudeErrorDeg: inDeg(real.altitudeErrorRad),
      azimuthErrorDeg: inDeg(real.azimuthErrorRad),
      distanceDeg: inDeg(real.distanceRad),
    },
  };
  return { account, truth, known: truthWords(real) };
}

async function write(path: string, text: string): Promise<void> {
  try {
    await writeFile(path, text);
  } catch (error) {
    throw writeFault(path, error);
  }
}
