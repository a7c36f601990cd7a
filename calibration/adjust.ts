import { lossOf, reweight } from './adjust/huber.ts';
import { accumulate, invertNormal, leverages, solveDamped } from './adjust/normal.ts';
import { OwnUnknowns } from './adjust/own.ts';
import { addPrior, priorInformation, priorLoss, type Prior } from './adjust/prior.ts';

export type { Prior } from './adjust/prior.ts';

/** A measurement model: whitened residuals of all measurements and their derivatives by the unknowns. */
export interface MeasurementModel {
  /** Those that any residual may depend on. */
  unknowns: number;
  residuals: number;
  /**
   * If given, each block of so many residuals has one more unknown of its own, on which no other residual depends. They follow
   * the shared ones in the order of the blocks, and the cost of an adjustment is linear in their number.
   */
  residualsPerOwn?: number;
  /**
   * Fills `residual[i]` = (measured - predicted) / sigma, and `jacobian[i * unknowns + j]` = d residual[i] / d unknown[j]. With own
   * unknowns a row is one longer: its last element is the derivative by the own unknown of the block.
   * The buffers come back as they were left: elements that are always zero need not be written again.
   */
  evaluate(unknown: Float64Array, residual: Float64Array, jacobian: Float64Array): void;
}

interface AdjustOptions {
  /** On the shared unknowns. */
  prior?: Prior;
  /** Huber's loss: groups of `groupSize` neighbouring residuals whose length exceeds `threshold` are weighted down. */
  robust?: { threshold: number; groupSize: number };
  maximumIterations?: number;
  /** Relative step, in units of each unknown's own sigma, below which the fit has converged. */
  tolerance?: number;
}

export interface Adjustment {
  /** The shared unknowns, then the own ones. */
  estimate: Float64Array;
  /** Row-major, unknowns x unknowns: inverse of the weighted normal matrix, prior included; the shared unknowns' part of it. */
  covariance: Float64Array;
  /** Row-major, residuals x unknowns: derivatives at the estimate by the shared unknowns, with the own ones following them. */
  jacobian: Float64Array;
  /** Whitened residuals at the estimate. */
  residual: Float64Array;
  /** Residuals over their own standard deviation after the fit (Baarda 1968): about N(0, 1) each when the model holds. */
  normalisedResidual: Float64Array;
  /** Huber weight of each group, 0..1; all 1 without a robust loss. */
  weight: Float64Array;
  /** Sum of weighted squared residuals, prior excluded. */
  chiSquared: number;
  /**
   * Expectation of `chiSquared`: the weighted number of residuals less the part that the unknowns take up, trace(J C J^T). A
   * prior leaves the unknowns less to take up, so this is not the plain difference of the counts.
   */
  degreesOfFreedom: number;
  /** Condition number of the normal matrix after scaling its diagonal to one. */
  condition: number;
  iterations: number;
  converged: boolean;
}

interface Evaluation {
  unknown: Float64Array;
  residual: Float64Array;
  jacobian: Float64Array;
}

/**
 * Weighted non-linear least squares with priors: Levenberg-Marquardt steps (Marquardt 1963) with iteratively reweighted
 * Huber loss (Huber 1964), covariance from the inverse normal matrix.
 * Throws RangeError when a residual is not finite at the start or the normal matrix is singular.
 */
export function adjust(model: MeasurementModel, start: ArrayLike<number>, options: AdjustOptions = {}): Adjustment {
  const { unknowns: n, residuals: m, residualsPerOwn } = model;
  const own = residualsPerOwn === undefined ? undefined : new OwnUnknowns(n, m, residualsPerOwn);
  const { prior, robust, maximumIterations = 60, tolerance = 1e-5 } = options;
  const groupSize = robust?.groupSize ?? 1;
  const threshold = robust?.threshold ?? Infinity;
  const weight = new Float64Array(Math.ceil(m / groupSize)).fill(1);
  const information = priorInformation(n, prior);
  const blank = (): Evaluation => ({
    unknown: Float64Array.from(start),
    residual: new Float64Array(m),
    jacobian: new Float64Array(m * (own ? n + 1 : n)),
  });
  const evaluate = (point: Evaluation): number => {
    model.evaluate(point.unknown, point.residual, point.jacobian);
    return lossOf(point.residual, weight.length, groupSize, threshold) + priorLoss(point.unknown, information, prior);
  };

  let here = blank();
  let there = blank();
  let current = evaluate(here);
  if (!Number.isFinite(current)) throw new RangeError('adjust: a residual is not finite at the start');

  const normal = new Float64Array(n * n);
  const gradient = new Float64Array(n);
  const gather = (): void => {
    if (robust) reweight(here.residual, weight, groupSize, threshold);
    accumulate(here.residual, here.jacobian, weight, groupSize, normal, gradient);
    addPrior(here.unknown, information, prior, normal, gradient);
    own?.gather(here.residual, here.jacobian, weight, groupSize);
  };

  let damping = 1e-3;
  let iterations = 0;
  let converged = false;
  while (!converged && iterations < maximumIterations) {
    iterations += 1;
    gather();
    let accepted = false;
    for (let attempt = 0; attempt < 12 && !accepted; attempt += 1) {
      const step = solveDamped(normal, gradient, damping, own);
      if (step) {
        for (let j = 0; j < step.length; j += 1) there.unknown[j] = here.unknown[j] + step[j];
        const next = evaluate(there);
        if (next <= current * (1 + 1e-12)) {
          let largest = own?.largestOf(step) ?? 0;
          for (let j = 0; j < n; j += 1) largest = Math.max(largest, Math.abs(step[j]) * Math.sqrt(normal[j * n + j]));
          converged = largest < tolerance || (damping < 1 && current - next <= 1e-12 * current);
          [here, there] = [there, here];
          current = next;
          damping = Math.max(damping / 10, 1e-12);
          accepted = true;
          continue;
        }
      }
      damping *= 10;
    }
    if (!accepted) {
      converged = damping > 1e6;
      break;
    }
  }

  gather();
  const { covariance, condition } = invertNormal(own?.reduced(normal) ?? normal, n);
  const { jacobian, taken } = own?.following(here.jacobian) ?? { jacobian: here.jacobian, taken: undefined };
  const leverage = leverages(jacobian, covariance, m, n, taken);
  let chiSquared = 0;
  let degreesOfFreedom = 0;
  for (let i = 0; i < m; i += 1) {
    const w = weight[Math.floor(i / groupSize)];
    chiSquared += w * here.residual[i] ** 2;
    degreesOfFreedom += w * (1 - w * leverage[i]);
  }
  return {
    estimate: here.unknown,
    covariance,
    jacobian,
    residual: here.residual,
    normalisedResidual: here.residual.map((r, i) => (leverage[i] < 1 - 1e-9 ? r / Math.sqrt(1 - leverage[i]) : 0)),
    weight,
    chiSquared,
    degreesOfFreedom: Math.max(degreesOfFreedom, 0),
    condition,
    iterations,
    converged,
  };
}

/** Standard deviation of unknown `index`. */
export const sigmaOf = (adjustment: Adjustment, index: number): number =>
  Math.sqrt(adjustment.covariance[index * (Math.sqrt(adjustment.covariance.length) + 1)]);
