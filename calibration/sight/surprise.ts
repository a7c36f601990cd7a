/**
 * -2 ln of how likely readings are when an explanation is so, whatever its unknowns are (Laplace's form of the evidence, Kass and
 * Raftery 1995, J. Am. Stat. Assoc. 90, 773). `chiSquared` counts the priors in; `covariance` is row-major, that of the unknowns
 * after the fit. Throws RangeError for a covariance that is not positive definite.
 */
export const surpriseOf = (
  chiSquared: number,
  priorSigma: Float64Array,
  covariance: Float64Array,
  readingSigmaRad: readonly number[],
): number =>
  chiSquared +
  2 * priorSigma.reduce((sum, one) => sum + Math.log(one), 0) -
  logDeterminant(covariance, priorSigma.length) +
  readingSigmaRad.reduce((sum, sigmaRad) => sum + Math.log(2 * Math.PI * sigmaRad ** 2), 0);

/** Of a positive definite matrix, row-major, by Cholesky's decomposition. */
function logDeterminant(matrix: Float64Array, n: number): number {
  const lower = Float64Array.from(matrix);
  let sum = 0;
  for (let j = 0; j < n; j += 1) {
    for (let k = 0; k < j; k += 1) {
      for (let i = j; i < n; i += 1) lower[i * n + j] -= lower[i * n + k] * lower[j * n + k];
    }
    const root = Math.sqrt(lower[j * n + j]);
    if (!(root > 0)) throw new RangeError('surpriseOf: the covariance is not positive definite');
    sum += 2 * Math.log(root);
    for (let i = j; i < n; i += 1) lower[i * n + j] /= root;
  }
  return sum;
}
