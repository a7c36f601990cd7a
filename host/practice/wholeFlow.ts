import type { Stage, WholeFlow } from './flow.ts';
import { lockedUp, nudgedHome, stoodOff, swung, tumbled } from './flowStages.ts';

/**
 * The whole evening at the mount: tumble, clip on, swing, stand-off, nudge, lock, with hands that follow nothing but what the
 * board's samples say. Throws Failure when a step is refused.
 */
export async function wholeFlow(stage: Stage): Promise<WholeFlow> {
  const tumble = await tumbled(stage);
  const swing = await swung(stage, tumble.calibration);
  const { standoff, standing } = await stoodOff(stage, swing);
  const { first, nudged, knobs } = await nudgedHome(stage, standing);
  const { lock, locked } = await lockedUp(stage, standing);
  return { tumble, swing, standoff, first, nudged, locked, lock, knobs };
}
