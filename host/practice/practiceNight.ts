import { degree } from '../../calibration/angle.ts';
import { scenes, type SceneName } from '../../firmware-proto/virtual/scenes.ts';
import { exitCode, Failure } from '../failure.ts';
import { sceneNamed } from '../sceneNamed.ts';
import type { Site } from '../site/site.ts';
import { placeOf } from '../sky/place.ts';
import { VirtualNight } from './rehearseNight.ts';
import { targetNamed } from '../sky/target.ts';

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

/** A night in the scene of the options that begins at `at`, or when it is dark there next. Throws Failure for a scene or a seed that is none. */
export function practiceNight(
  name: string,
  seed: string,
  tell: (line: string) => void,
  at?: Date,
): { night: VirtualNight; scene: SceneName; seed: number } {
  const scene = sceneNamed(name);
  const number = Number(seed);
  if (!Number.isInteger(number)) throw new Failure(exitCode.usage, `"${seed}" is no seed.`, 'Give a whole number.');
  tell(scenes[scene].words);
  const start = at ?? darkTime(scenes[scene].place);
  const startText = start.toISOString().slice(0, 16).replace('T', ' ');
  tell(`It begins at ${startText} UTC${at ? '' : ', when it is dark there'}.`);
  return { night: new VirtualNight(scene, number, start), scene, seed: number };
}
