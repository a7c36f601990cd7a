import { adjust } from '../../calibration/adjust.ts';
import { correct, type AffineCorrection, type SensorCorrection } from '../../calibration/correction.ts';
import { fitEllipsoid } from '../../calibration/ellipsoid.ts';
import { sigmaOverAttitudes } from '../../calibration/tumble/calibration.ts';
import { fitTumble } from '../../calibration/tumble/fit.ts';
import { invariantModel, whiteningOf } from '../../calibration/tumble/invariants.ts';
import { attitudeSigma } from '../../calibration/tumble/propagate.ts';
import { packReadings } from '../../calibration/tumble/readings.ts';
import { tumbleUnknowns, type SensorNoise, type TumbleSample } from '../../calibration/tumble/types.ts';
import { identity3, type Vector3, vector3 } from '../../calibration/vector.ts';
import { Random } from '../../firmware-proto/virtual/random.ts';
import {
  attitudeError,
  exactReading,
  randomAttitude,
  randomBoard,
  tumbleOf,
  type RandomBoard,
} from './tumble-boards.ts';

export interface Experiment {
  noise: SensorNoise;
  boards: number;
  samples: number;
  seed: number;
  /** Attitudes that the hand leaves out. */
  keep?: (up: Vector3, field: Vector3) => boolean;
  /** Priors of the fit: the boards are drawn with 0.08 for the magnetometer's matrix. */
  fieldMatrixPrior?: number;
  skipOthers?: boolean;
  /** The readings of one board; else `samples` random attitudes. */
  tumble?: (random: Random, board: RandomBoard) => TumbleSample[];
}

export interface RmsErrors {
  headingRad: number;
  tiltRad: number;
}

export interface Outcome {
  accepted: number;
  ours: RmsErrors;
  stated: RmsErrors;
  bound: RmsErrors;
  minMax: RmsErrors;
  ellipsoid: RmsErrors;
  /** Share of the truth within the stated regions: heading alone, and all three angles of the attitude. */
  heading68: number;
  heading95: number;
  attitude68: number;
  attitude95: number;
}

/** Quantiles of chi squared with three degrees of freedom (any statistics table). */
const chiSquared3 = { at68: 3.5267, at95: 7.8147 };
const attitudesPerBoard = 24;

export function runExperiment(experiment: Experiment): Outcome {
  const { noise, boards, samples, seed, keep, fieldMatrixPrior = 0.08, skipOthers = false } = experiment;
  const sums = { ours: [0, 0], stated: [0, 0], bound: [0, 0], minMax: [0, 0], ellipsoid: [0, 0] };
  const within = { heading68: 0, heading95: 0, attitude68: 0, attitude95: 0 };
  let accepted = 0;
  for (let i = 0; i < boards; i += 1) {
    const random = new Random(seed + i);
    const board = randomBoard(random);
    const tumble = experiment.tumble?.(random, board) ?? tumbleOf(random, board, noise, samples, keep);
    const result = fitTumble(tumble, { site: board.site, prior: { fieldMatrix: fieldMatrixPrior } });
    if (!result.calibration)
      throw new Error(`seed ${seed + i}: ${result.gates.find((g) => g.verdict === 'stop')?.reason}`);
    if (result.accepted) accepted += 1;
    const { correction, sigmaHeadingRad, sigmaTiltRad } = result.calibration;
    addSquared(sums.ours, errorsOf(random, board, correction));
    addSquared(sums.stated, { headingRad: sigmaHeadingRad, tiltRad: sigmaTiltRad });
    addSquared(sums.bound, boundOf(board, tumble, noise, fieldMatrixPrior));
    if (!skipOthers) {
      addSquared(sums.minMax, errorsOf(random, board, magnetometerOnly(minMax(tumble))));
      const plain = fitEllipsoid(tumble.flatMap(({ fieldNt }) => fieldNt));
      if (!plain) throw new Error(`seed ${seed + i}: no ellipsoid`);
      addSquared(sums.ellipsoid, errorsOf(random, board, magnetometerOnly(plain)));
    }

    const { up, field } = randomAttitude(random, board.dipRad);
    const { accelG, fieldNt } = exactReading(board, up, field);
    const sigma = attitudeSigma(result.calibration, accelG, fieldNt);
    const error = errorAt(correction, board, up, field);
    const heading = Math.abs(error[2]) / sigma.sigmaHeadingRad;
    const distance = mahalanobis3(error, sigma.covariance);
    within.heading68 += heading < 1 ? 1 : 0;
    within.heading95 += heading < 1.96 ? 1 : 0;
    within.attitude68 += distance < chiSquared3.at68 ? 1 : 0;
    within.attitude95 += distance < chiSquared3.at95 ? 1 : 0;
  }
  const rms = ([heading, tilt]: number[]): RmsErrors => ({
    headingRad: Math.sqrt(heading / boards),
    tiltRad: Math.sqrt(tilt / boards),
  });
  return {
    accepted,
    ours: rms(sums.ours),
    stated: rms(sums.stated),
    bound: rms(sums.bound),
    minMax: rms(sums.minMax),
    ellipsoid: rms(sums.ellipsoid),
    heading68: within.heading68 / boards,
    heading95: within.heading95 / boards,
    attitude68: within.attitude68 / boards,
    attitude95: within.attitude95 / boards,
  };
}

const addSquared = (sum: number[], { headingRad, tiltRad }: RmsErrors): void => {
  sum[0] += headingRad ** 2;
  sum[1] += tiltRad ** 2;
};

function errorAt(correction: SensorCorrection, board: RandomBoard, up: Vector3, field: Vector3): Vector3 {
  const { accelG, fieldNt } = exactReading(board, up, field);
  return attitudeError(correct(correction.accelerometer, accelG), correct(correction.magnetometer, fieldNt), up, field);
}

/** Rms over random attitudes of one board, without noise: what the calibration alone is off by. */
function errorsOf(random: Random, board: RandomBoard, correction: SensorCorrection): RmsErrors {
  let heading = 0;
  let tilt = 0;
  for (let i = 0; i < attitudesPerBoard; i += 1) {
    const { up, field } = randomAttitude(random, board.dipRad);
    const [n, e, d] = errorAt(correction, board, up, field);
    heading += d ** 2 / attitudesPerBoard;
    tilt += (n ** 2 + e ** 2) / attitudesPerBoard;
  }
  return { headingRad: Math.sqrt(heading), tiltRad: Math.sqrt(tilt) };
}

/** Cramer-Rao bound (with the priors' information) of the same model at the truth, with the true noise. */
function boundOf(board: RandomBoard, tumble: TumbleSample[], noise: SensorNoise, fieldMatrixPrior: number): RmsErrors {
  const { readings } = packReadings(tumble, 1, 1);
  const { truth } = board;
  const model = invariantModel(readings, board.fieldNt, whiteningOf(readings, board.fieldNt, truth, noise));
  const { accelMatrix, fieldBias, fieldMatrix, dip, count } = tumbleUnknowns;
  const sigma = new Float64Array(count).fill(0.03);
  sigma.fill(0.02, accelMatrix, fieldBias);
  sigma.fill(Infinity, fieldBias, fieldMatrix);
  sigma.fill(fieldMatrixPrior, fieldMatrix, dip);
  sigma[dip] = board.site.sigmaDipRad;
  // No step is taken: the covariance is wanted at the truth itself.
  const { covariance } = adjust(model, truth, { prior: { mean: truth, sigma }, maximumIterations: 0 });
  const correction: SensorCorrection = {
    accelerometer: { bias: [truth[0], truth[1], truth[2]], matrix: board.accelMatrix },
    magnetometer: { bias: [truth[9], truth[10], truth[11]], matrix: board.fieldMatrix },
  };
  const over = sigmaOverAttitudes(correction, Array.from(covariance), board.fieldNt, board.dipRad);
  return { headingRad: over.sigmaHeadingRad, tiltRad: over.sigmaTiltRad };
}

const magnetometerOnly = (magnetometer: AffineCorrection): SensorCorrection => ({
  accelerometer: { bias: [0, 0, 0], matrix: identity3 },
  magnetometer,
});

function minMax(tumble: TumbleSample[]): AffineCorrection {
  const bias = [0, 1, 2].map((k) => {
    const values = tumble.map(({ fieldNt }) => fieldNt[k]);
    return (Math.max(...values) + Math.min(...values)) / 2;
  });
  return { bias: vector3(bias), matrix: identity3 };
}

function mahalanobis3([x, y, z]: Vector3, c: Float64Array): number {
  const [a, b, d, , e, f, , , g] = c;
  const determinant = a * (e * g - f * f) - b * (b * g - f * d) + d * (b * f - e * d);
  return (
    ((e * g - f * f) * x * x +
      (a * g - d * d) * y * y +
      (a * e - b * b) * z * z +
      2 * (d * f - b * g) * x * y +
      2 * (b * f - d * e) * x * z +
      2 * (b * d - a * f) * y * z) /
    determinant
  );
}
