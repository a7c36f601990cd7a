import { DwellFinder } from '../../calibration/swing/dwell.ts';
import { fitSwing } from '../../calibration/swing/fitSwing.ts';
import type { SwingResult } from '../../calibration/swing/types.ts';
import { fitTumble } from '../../calibration/tumble/fit.ts';
import type { TumbleCalibration } from '../../calibration/tumble/types.ts';
import type { SceneName } from '../../firmware-proto/virtual/scenes.ts';
import type { Scene } from '../../firmware-proto/virtual/scene.ts';
import { createWorld, type WorldOptions } from '../../firmware-proto/virtual/world.ts';
import { swingSamples, tumbleSamples } from '../../firmware-proto/virtual/worldSamples.ts';
import { exitCode, Failure } from '../failure.ts';
import { swingSite } from '../site/swingSite.ts';

export interface Rehearsal {
  calibration: TumbleCalibration;
  swing: SwingResult;
}

/**
 * Tumble and swing of a virtual board, in about a second and without the processor: the hands do both in a world drawn from the
 * same seed, and the same fits as for a real board see its samples and nothing else.
 */
export function rehearseFast(scene: SceneName | Scene, options: WorldOptions = {}): Rehearsal {
  const { date = new Date() } = options;
  const world = createWorld(scene, { ...options, date });
  const site = swingSite(world.scene.place, date);
  const tumble = fitTumble(
    tumbleSamples(world).map(({ timeS, ...sample }) => ({ ...sample, boardS: timeS })),
    { site },
  );
  if (!tumble.accepted || !tumble.calibration) {
    throw new Failure(
      exitCode.refused,
      `The virtual tumble was refused: ${tumble.gates.find(({ verdict }) => verdict === 'stop')?.reason ?? 'no fit'}.`,
      'Try another --seed.',
    );
  }
  const finder = new DwellFinder();
  for (const { timeS, ...sample } of swingSamples(world, { hz: Math.min(world.make.hz, 50) })) {
    finder.offer({ ...sample, boardS: timeS });
  }
  finder.close();
  return { calibration: tumble.calibration, swing: fitSwing([finder.dwells], tumble.calibration, { site }) };
}
