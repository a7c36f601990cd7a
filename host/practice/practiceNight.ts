import { scenes, type SceneName } from '../../firmware-proto/virtual/scenes.ts';
import { exitCode, Failure } from '../failure.ts';
import { sceneNamed } from '../sceneNamed.ts';
import { virtualNightFrom } from '../live/virtualNight.ts';
import { VirtualNight } from './rehearseNight.ts';
import { texts } from './words.ts';

/** A night in the scene of the options that begins at `at`, or when it is dark there next. Throws Failure for a scene or a seed that is none. */
export function practiceNight(
  name: string,
  seed: string,
  tell: (line: string) => void,
  at?: Date,
): { night: VirtualNight; scene: SceneName; seed: number } {
  const scene = sceneNamed(name);
  const number = Number(seed);
  if (!Number.isInteger(number)) throw new Failure(exitCode.usage, `"${seed}" is not a seed.`, 'Give a whole number.');
  tell(scenes[scene].words);
  const site = scenes[scene].place;
  const start = at ?? virtualNightFrom(site, new Date());
  const startText = start.toISOString().slice(0, 16).replace('T', ' ');
  tell(texts.begins(startText, at !== undefined));
  return { night: new VirtualNight(scene, number, start), scene, seed: number };
}
