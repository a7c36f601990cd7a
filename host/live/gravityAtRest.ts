import type { AxisModel } from '../../calibration/axisModel.ts';
import { correct } from '../../calibration/correction.ts';
import { add, normalise, type Vector3 } from '../../calibration/vector.ts';
import type { LiveSession } from './session.ts';

const meanOverMs = 1000;

/** Corrected gravity in the board's frame, the mean of the next second; a unit vector. */
export async function gravityAtRest(session: LiveSession, { correction }: AxisModel): Promise<Vector3> {
  let sum: Vector3 = [0, 0, 0];
  const stop = session.onSample(({ accelG }) => {
    sum = add(sum, correct(correction.accelerometer, accelG));
  });
  await new Promise((resolve) => setTimeout(resolve, meanOverMs));
  stop();
  return normalise(sum);
}
