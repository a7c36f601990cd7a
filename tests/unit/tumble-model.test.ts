import { describe, expect, it } from 'vitest';
import { largestDerivativeError } from '../derivativeCheck.ts';
import { correct } from '../../calibration/correction.ts';
import { fitTumble } from '../../calibration/tumble/fit.ts';
import { invariantModel, whiteningOf } from '../../calibration/tumble/invariants.ts';
import { lengthModel } from '../../calibration/tumble/oneSensor.ts';
import { attitudeDerivatives } from '../../calibration/tumble/propagate.ts';
import { packReadings } from '../../calibration/tumble/readings.ts';
import { tumbleUnknowns, type TumbleSample } from '../../calibration/tumble/types.ts';
import { type Matrix3, type Vector3, matrix3 } from '../../calibration/vector.ts';
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

const { accelMatrix, fieldBias, fieldMatrix, dip, count } = tumbleUnknowns;
const steps = Array.from({ length: count }, (_, j) => (j >= fieldBias && j < fieldMatrix ? 1e4 : 1));

const boardOf = (seed: number): { random: Random; board: RandomBoard } => {
  const random = new Random(seed);
  return { random, board: randomBoard(random) };
};

const correctionOf = (u: Float64Array) => {
  const s = accelMatrix;
  return {
    accelerometer: {
      bias: [u[0], u[1], u[2]] as Vector3,
      matrix: [u[s], u[s + 1], u[s + 2], u[s + 1], u[s + 3], u[s + 4], u[s + 2], u[s + 4], u[s + 5]] as Matrix3,
    },
    magnetometer: {
      bias: [u[9], u[10], u[11]] as Vector3,
      matrix: matrix3(Array.from(u.subarray(fieldMatrix, dip))),
    },
  };
};

describe('the attitude-free model', () => {
  it.each([1, 2, 3, 4, 5])('has right derivatives (seed %i)', (seed) => {
    const { random, board } = boardOf(seed);
    const { readings } = packReadings(tumbleOf(random, board, chipProfiles.cheap, 30), 1, 1);
    const whitening = whiteningOf(readings, board.fieldNt, board.truth, chipProfiles.cheap);
    expect(largestDerivativeError(invariantModel(readings, board.fieldNt, whitening), board.truth, steps)).toBeLessThan(
      1e-7,
    );
  });

  it('has right derivatives for one sensor', () => {
    const random = new Random(3);
    const flat = Float64Array.from({ length: 90 }, () => random.normal());
    expect(largestDerivativeError(lengthModel(flat, 1, 0.1), [0.1, 0.2, 0.1, 1, 0.1, 0.2, 0.9, 0.1, 1.1])).toBeLessThan(
      1e-7,
    );
  });

  it('is zero at the truth without noise, whatever the attitude', () => {
    const { random, board } = boardOf(7);
    const exact = tumbleOf(random, board, { accelG: 0, fieldNt: 0 }, 50);
    const { readings } = packReadings(exact, 1, 1);
    const whitening = whiteningOf(readings, board.fieldNt, board.truth, chipProfiles.typical);
    const residual = new Float64Array(150);
    invariantModel(readings, board.fieldNt, whitening).evaluate(board.truth, residual, new Float64Array(150 * count));
    residual.forEach((value) => expect(Math.abs(value)).toBeLessThan(1e-9));
  });

  it('whitens: at the truth the residuals are independent and of unit variance, strong soft iron included', () => {
    const { random, board } = boardOf(11);
    const strong = [1.2, 0.25, -0.2, 0.1, 0.8, 0.15, -0.3, 0.1, 1.1];
    board.fieldMatrix = matrix3(strong);
    board.truth.set(strong, fieldMatrix);
    const many = 20_000;
    const { readings } = packReadings(tumbleOf(random, board, chipProfiles.typical, many), 1, 1);
    const whitening = whiteningOf(readings, board.fieldNt, board.truth, chipProfiles.typical);
    const r = new Float64Array(3 * many);
    invariantModel(readings, board.fieldNt, whitening).evaluate(board.truth, r, new Float64Array(3 * many * count));
    for (let j = 0; j < 3; j += 1) {
      for (let k = 0; k <= j; k += 1) {
        let sum = 0;
        for (let i = 0; i < many; i += 1) sum += r[3 * i + j] * r[3 * i + k];
        // five standard deviations of a (co)variance from this many draws
        expect(Math.abs(sum / many - (j === k ? 1 : 0))).toBeLessThan(5 * Math.sqrt(2 / many));
      }
    }
  });
});

describe('propagation to an attitude', () => {
  it.each([21, 22, 23])('agrees with turning the knobs (seed %i)', (seed) => {
    const { random, board } = boardOf(seed);
    const { up, field } = randomAttitude(random, board.dipRad);
    const { accelG, fieldNt } = exactReading(board, up, field);
    const rows = attitudeDerivatives(correctionOf(board.truth), accelG, fieldNt);
    for (let j = 0; j < dip; j += 1) {
      const error = (sign: number): Vector3 => {
        const moved = Float64Array.from(board.truth);
        moved[j] += sign * 1e-5 * steps[j];
        const { accelerometer, magnetometer } = correctionOf(moved);
        return attitudeError(correct(accelerometer, accelG), correct(magnetometer, fieldNt), up, field);
      };
      const [plus, minus] = [error(1), error(-1)];
      for (let i = 0; i < 3; i += 1) {
        const numeric = (plus[i] - minus[i]) / (2e-5 * steps[j]);
        expect(Math.abs(rows[i * count + j] - numeric) * steps[j]).toBeLessThan(1e-6);
      }
    }
  });
});

describe('recalibrating calibrated data', () => {
  // Not exactly nothing: corrected noise is no longer equal on all axes, so the readings weigh a little differently.
  it('changes nothing beyond a fraction of its sigma', () => {
    const { random, board } = boardOf(51);
    const samples = tumbleOf(random, board, chipProfiles.typical, 600);
    const first = fitTumble(samples, { site: board.site }).calibration;
    if (!first) throw new Error('refused');
    const corrected: TumbleSample[] = samples.map(({ accelG, fieldNt }) => ({
      accelG: correct(first.correction.accelerometer, accelG),
      fieldNt: correct(first.correction.magnetometer, fieldNt),
    }));
    const second = fitTumble(corrected, { site: board.site }).calibration;
    if (!second) throw new Error('refused');
    const { accelerometer, magnetometer } = second.correction;
    const values = [
      ...accelerometer.bias,
      ...[0, 1, 2, 4, 5, 8].map((i) => accelerometer.matrix[i]),
      ...magnetometer.bias,
      ...magnetometer.matrix,
    ];
    const nothing = [0, 0, 0, 1, 0, 0, 1, 0, 1, 0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0, 1];
    values.forEach((value, j) => {
      expect(Math.abs(value - nothing[j])).toBeLessThan(0.3 * Math.sqrt(second.covariance[j * (count + 1)]));
    });
  });
});
