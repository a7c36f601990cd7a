import { isSceneName, scenes, type SceneName } from '../firmware-proto/virtual/scenes.ts';
import { exitCode, Failure } from './failure.ts';

/** The scene of that name, in whatever capitals. Throws Failure where there is none. */
export function sceneNamed(name: string): SceneName {
  const plain = name.trim().toLowerCase();
  if (isSceneName(plain)) return plain;
  throw new Failure(
    exitCode.usage,
    `There is no scene "${name}".`,
    `The scenes are: ${Object.keys(scenes).join(', ')}.`,
  );
}
