import { degree } from '../../calibration/angle.ts';
import { scenes } from '../../firmware-proto/virtual/scenes.ts';
import { sceneNamed } from '../sceneNamed.ts';
import { feedStep } from './feedStep.ts';
import { calibrationFor, openForStep, type StepOptions } from './stepOptions.ts';
import { fieldAt } from '../site/field.ts';
import { isHidden, type HorizonSector } from '../site/horizon.ts';
import type { Site } from '../site/site.ts';
import { TraceStep } from '../steps/traceStep.ts';
import { texts } from './words/trace.ts';

/** Sweeps the board's x axis along the tree line, live; returns the sectors. Throws Failure when little was swept. */
export async function traceHorizon(options: StepOptions, site: Site): Promise<HorizonSector[]> {
  const session = await openForStep('site --trace', options);
  try {
    const { correction } = await calibrationFor(options, { session });
    const { variationRad } = fieldAt(site, new Date());
    const step = new TraceStep(correction, variationRad);
    await feedStep(
      session,
      {
        offer: (sample) => step.offer(sample),
        words: () => texts.sweep(Math.floor(step.progress().coverage * 10) * 10),
        onLine: () => true,
        isEnough: () => step.progress().coverage > 0.95,
        hands: async ({ virtual }) => {
          virtual?.hands.sweep(skylineOf(options.virtual ?? ''), 40);
          await virtual?.hands.whenDone();
        },
      },
      session.virtual !== undefined,
    );
    return step.finish();
  } finally {
    await session.close();
  }
}

/** What virtual hands follow: the skyline of the invented scene. */
function skylineOf(scene: string): (azimuthRad: number) => number {
  const { hidden } = scenes[sceneNamed(scene)];
  return (azimuthRad) => {
    let altitude = 0;
    while (altitude < 85 && isHidden(hidden, azimuthRad, altitude * degree + 1e-9)) altitude += 1;
    return altitude * degree;
  };
}
