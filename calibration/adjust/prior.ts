/** Normal priors on the unknowns: independent ones by their sigma (infinite: none), or correlated ones by their information. */
export interface Prior {
  mean: ArrayLike<number>;
  sigma?: ArrayLike<number>;
  /** Row-major inverse covariance, unknowns x unknowns; added to that of `sigma`. */
  information?: ArrayLike<number>;
}

/** Row-major inverse covariance of the whole prior, unknowns x unknowns. */
export function priorInformation(n: number, prior: Prior | undefined): Float64Array {
  const information = new Float64Array(n * n);
  if (prior?.information) information.set(prior.information);
  if (prior?.sigma) for (let j = 0; j < n; j += 1) information[j * n + j] += 1 / prior.sigma[j] ** 2;
  return information;
}

/** Sum of squares by which the prior adds to the loss. */
export function priorLoss(unknown: ArrayLike<number>, information: Float64Array, prior: Prior | undefined): number {
  if (!prior) return 0;
  const n = prior.mean.length;
  let sum = 0;
  for (let j = 0; j < n; j += 1) {
    const off = unknown[j] - prior.mean[j];
    for (let k = 0; k < n; k += 1) {
      const element = information[j * n + k];
      if (element !== 0) sum += off * element * (unknown[k] - prior.mean[k]);
    }
  }
  return sum;
}

/** Half of the loss's derivatives by the unknowns. */
export function priorGradient(
  unknown: ArrayLike<number>,
  information: Float64Array,
  { mean }: Pick<Prior, 'mean'>,
): Float64Array {
  const n = mean.length;
  const gradient = new Float64Array(n);
  for (let j = 0; j < n; j += 1)
    for (let k = 0; k < n; k += 1) {
      const element = information[j * n + k];
      if (element !== 0) gradient[j] += element * (unknown[k] - mean[k]);
    }
  return gradient;
}

/** Adds to a normal matrix, and to the gradient of steepest descent. */
export function addPrior(
  unknown: Float64Array,
  information: Float64Array,
  prior: Prior | undefined,
  normal: Float64Array,
  gradient: Float64Array,
): void {
  if (!prior) return;
  for (let cell = 0; cell < normal.length; cell += 1) normal[cell] += information[cell];
  priorGradient(unknown, information, prior).forEach((value, j) => (gradient[j] -= value));
}
