import type { SceneName } from '../../firmware-proto/virtual/scenes.ts';
import { evening } from './nightEvenings.ts';

// One evening for each message.
process.on('message', ({ scene, seed }: { scene: SceneName; seed: number }) => process.send!(evening(scene, seed)));
