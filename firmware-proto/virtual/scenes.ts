import type { Scene } from './scene.ts';
import { orchard } from './scenes/orchard.ts';
import { woolshed } from './scenes/woolshed.ts';

export type SceneName = 'orchard' | 'woolshed';
export const scenes: Record<SceneName, Scene> = { orchard, woolshed };
export const isSceneName = (name: string): name is SceneName => Object.hasOwn(scenes, name);
