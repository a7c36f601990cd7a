import { correct } from '../../calibration/correction.ts';
import { degree } from '../../calibration/angle.ts';
import { pointingOf } from '../../calibration/pointing.ts';
import { scenes, isSceneName } from '../../firmware-proto/virtual/scene.ts';
import { exitCode, Failure } from '../failure.ts';
import { gather } from '../steps/gather.ts';
import { calibrationFor, openForStep, type StepOptions } from '../steps/stepOptions.ts';
import { fieldAt } from './field.ts';
import { isHidden, type HorizonSector } from './horizon.ts';
import type { Site } from './site.ts';
import { HorizonTrace } from './traceHorizon.ts';

const leastCoverage = 0.2;

/** Sweeps the board's x axis along the tree line, live; returns the sectors. Throws Failure when little was swept. */
export async function traceHorizon(options: StepOptions, site: Site): Promise<HorizonSector[]> {
  const session = await openForStep(options);
  try {
    const { correction } = await calibrationFor(options, { session });
    const { variationRad } = fieldAt(site, new Date());
    const trace = new HorizonTrace();
    await gather(
      session,
      {
        offer: ({ accelG, fieldNt }) =>
          trace.offer(
            pointingOf(
              [1, 0, 0],
              correct(correction.accelerometer, accelG),
              correct(correction.magnetometer, fieldNt),
              variationRad,
            ),
          ),
        words: () =>
          `Point the x arrow of the board at the tree line and sweep along it, slowly: ${Math.floor(trace.coverage() * 10) * 10} percent of the horizon. Enter finishes.`,
        onLine: () => true,
        isEnough: () => trace.coverage() > 0.95,
        hands: async ({ hands }) => {
          hands?.sweep(skylineOf(options.virtual ?? ''), 40);
          await hands?.whenDone();
        },
      },
      session.isVirtual,
    );
    if (trace.coverage() < leastCoverage) {
      throw new Failure(
        exitCode.refused,
        `Only ${(100 * trace.coverage()).toFixed(0)} percent of the horizon was swept, at least ${100 * leastCoverage} are needed.`,
        'Sweep along what hides the sky, or write it down: --horizon "330-60:55".',
      );
    }
    return trace.sectors();
  } finally {
    await session.close();
  }
}

/** What virtual hands follow: the skyline of the invented scene. */
function skylineOf(scene: string): (azimuthRad: number) => number {
  const hidden = isSceneName(scene) ? scenes[scene].hidden : [];
  return (azimuthRad) => {
    let altitude = 0;
    while (altitude < 85 && isHidden(hidden, azimuthRad, altitude * degree + 1e-9)) altitude += 1;
    return altitude * degree;
  };
}
