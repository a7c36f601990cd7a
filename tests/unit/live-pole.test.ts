import { expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { openSession } from '../../host/live/openSession.ts';
import type { Needles } from '../../host/live/session.ts';

/** Needles that have been at rest for some seconds: what is left of noise is a few tenths of an arcminute. */
const steadyAfter = 120;

async function steadyNeedles(pole: 'true' | 'refracted'): Promise<Needles> {
  const session = await openSession({ virtual: 'woolshed', isFast: true, seed: 2, pole });
  try {
    return await new Promise((resolve) => {
      let still = 0;
      const stop = session.onNeedles((needles) => {
        still = needles.state === 'still' ? still + 1 : 0;
        if (still < steadyAfter) return;
        stop();
        resolve(needles);
      });
    });
  } finally {
    await session.close();
  }
}

it('against the refracted pole the axis stands lower by the refraction, in the needles and in the truth beside them', async () => {
  const [toTrue, toRefracted] = await Promise.all([steadyNeedles('true'), steadyNeedles('refracted')]);
  if (!toTrue.truth || !toRefracted.truth) throw new Error('a virtual board tells the truth');
  // 1.5 arcminutes at 33.5 degrees of altitude: Bennett 1982, common value 1/tan(33.5 deg) arcminutes
  const arcminutes = (angleRad: number): number => (angleRad / degree) * 60;
  expect(arcminutes(toTrue.truth.altitudeErrorRad - toRefracted.truth.altitudeErrorRad)).toBeCloseTo(1.5, 0);
  // nearer to the refraction than to none of it, however many samples a busy machine has skipped
  expect(Math.abs(arcminutes(toTrue.altitudeErrorRad - toRefracted.altitudeErrorRad) - 1.5)).toBeLessThan(1);
  expect(toTrue.truth.azimuthErrorRad).toBeCloseTo(toRefracted.truth.azimuthErrorRad, 9);
});
