// What the hand and the logger add to a tumble's readings: the lever about the wrist, and a magnetometer that is read late.
import { describe, expect, it } from 'vitest';
import { largestDerivativeError } from '../../calibration/derivativeCheck.ts';
import { degree } from '../../calibration/angle.ts';
import { correct } from '../../calibration/correction.ts';
import { fitTumble } from '../../calibration/tumble/fit.ts';
import { handledStart, modelFor } from '../../calibration/tumble/handling.ts';
import { whiteningOf } from '../../calibration/tumble/invariants.ts';
import { packReadings } from '../../calibration/tumble/readings.ts';
import { attitudeSigma } from '../../calibration/tumble/propagate.ts';
import type { TumbleSample } from '../../calibration/tumble/types.ts';
import { Random } from '../../firmware-proto/virtual/random.ts';
import {
  attitudeError,
  chipProfiles,
  exactReading,
  randomAttitude,
  randomBoard,
  tumbleOf,
  type RandomBoard,
} from '../statistics/tumble-boards.ts';
import { handTumble } from '../statistics/tumble-hand.ts';

const hand = {
  seconds: 40,
  samplesPerS: 100,
  rateRadPerS: 0.8,
  rateTimeS: 1.5,
  leverM: 0.03,
  jitterG: 0,
  jitterTimeS: 0.1,
  restS: 0,
  turnS: 4,
};

function turned(seed: number): { board: RandomBoard; samples: TumbleSample[] } {
  const random = new Random(seed);
  const board = randomBoard(random);
  return { board, samples: handTumble(random, board, chipProfiles.typical, hand) };
}

/** Rms error of heading over attitudes, and the same over its stated sigma. */
function headingOf({ board, samples }: { board: RandomBoard; samples: TumbleSample[] }) {
  const result = fitTumble(samples, { site: board.site });
  const random = new Random(1);
  const attitudes = 12;
  let [squared, overSigma] = [0, 0];
  if (!result.calibration) throw new Error(result.gates.map(({ reason }) => reason).join());
  const { correction } = result.calibration;
  for (let i = 0; i < attitudes; i += 1) {
    const { up, field } = randomAttitude(random, board.dipRad);
    const { accelG, fieldNt } = exactReading(board, up, field);
    const found = [correct(correction.accelerometer, accelG), correct(correction.magnetometer, fieldNt)] as const;
    const error = attitudeError(...found, up, field)[2];
    squared += error ** 2 / attitudes;
    overSigma += (error / attitudeSigma(result.calibration, accelG, fieldNt).sigmaHeadingRad) ** 2 / attitudes;
  }
  return { result, headingDeg: Math.sqrt(squared) / degree, overSigma: Math.sqrt(overSigma) };
}

/** The field as it was read `rows` readings before. */
const late = (samples: readonly TumbleSample[], rows: number): TumbleSample[] =>
  samples.slice(rows).map((sample, i) => ({ ...sample, fieldNt: samples[i].fieldNt }));

describe('lever and lag', () => {
  it('have the derivatives that differences of the model give', () => {
    const random = new Random(3);
    const board = randomBoard(random);
    const { readings } = packReadings(tumbleOf(random, board, chipProfiles.typical, 30), 1, 1);
    const numbers = (size: number, sigma: number): Float64Array =>
      Float64Array.from({ length: size * 30 }, () => sigma * random.normal());
    const motion = {
      classes: new Uint8Array(30),
      perLever: numbers(9, 0.1),
      perLag: numbers(3, 40_000),
      perLagSquared: numbers(3, 40_000),
    };
    const at = handledStart(board.truth);
    at.set([0.05, -0.08, 0.03, 0.04], board.truth.length);
    const whitening = whiteningOf(readings, board.fieldNt, board.truth, chipProfiles.typical);
    expect(largestDerivativeError(modelFor(board.fieldNt, motion)(readings, whitening), at)).toBeLessThan(1e-5);
  });

  it.each([2, 5, 10])('a magnetometer that is %i0 ms late is found and does no harm', (rows) => {
    const { board, samples } = turned(20 + rows);
    const { result, headingDeg, overSigma } = headingOf({ board, samples: late(samples, rows) });
    const lag = result.gates.find(({ reason }) => reason.includes('later than the accelerometer'));
    expect(lag?.value).toBeGreaterThan(10 * rows * 0.85);
    expect(lag?.value).toBeLessThan(10 * rows * 1.1);
    // Taken for readings of one instant, 50 ms cost 2.5 degrees and 100 ms nearly four.
    expect(headingDeg).toBeLessThan(0.6);
    expect(overSigma).toBeLessThan(2);
  });

  it('no lag is found where there is none', () => {
    const { result } = headingOf(turned(20));
    expect(result.gates.find(({ unit }) => unit === 'ms')?.value).toBeLessThan(1);
  });
});
