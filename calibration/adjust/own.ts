import type { Matrix } from 'ml-matrix';

/**
 * What normal equations hold of unknowns that one block of residuals each knows of. Beside the matrix N and the gradient g of the
 * shared unknowns stand a row E for each own unknown and a diagonal D, in the form of an arrow:
 *
 *     [ N   E^T ] [ x ]   [ g ]
 *     [ E   D   ] [ y ] = [ h ]      so that (N - E^T D^-1 E) x = g - E^T D^-1 h  and  y = D^-1 (h - E x)
 *
 * (Schur complement; Triggs, McLauchlan, Hartley and Fitzgibbon 2000, Bundle Adjustment: A Modern Synthesis.) The cost grows with
 * the number of blocks only.
 */
export class OwnUnknowns {
  private readonly shared: number;
  private readonly perOwn: number;
  /** D, h, and E row by row. */
  private readonly diagonal: Float64Array;
  private readonly gradient: Float64Array;
  private readonly coupling: Float64Array;
  /** E^T D^-1 E and E^T D^-1 h. */
  private readonly taken: Float64Array;
  private readonly takenGradient: Float64Array;

  constructor(shared: number, residuals: number, perOwn: number) {
    const own = Math.ceil(residuals / perOwn);
    this.shared = shared;
    this.perOwn = perOwn;
    this.diagonal = new Float64Array(own);
    this.gradient = new Float64Array(own);
    this.coupling = new Float64Array(own * shared);
    this.taken = new Float64Array(shared * shared);
    this.takenGradient = new Float64Array(shared);
  }

  /** Takes in residuals and their derivatives, the last of a row by the own unknown. Throws RangeError where one has no derivative. */
  gather(residual: Float64Array, jacobian: Float64Array, weight: Float64Array, groupSize: number): void {
    const { shared: n, diagonal, gradient, coupling, taken, takenGradient } = this;
    for (const sums of [diagonal, gradient, coupling, taken, takenGradient]) sums.fill(0);
    for (let i = 0; i < residual.length; i += 1) {
      const row = i * (n + 1);
      const own = Math.floor(i / this.perOwn);
      const weighted = weight[Math.floor(i / groupSize)] * jacobian[row + n];
      diagonal[own] += weighted * jacobian[row + n];
      gradient[own] -= weighted * residual[i];
      for (let j = 0; j < n; j += 1) coupling[own * n + j] += weighted * jacobian[row + j];
    }
    for (let own = 0; own < diagonal.length; own += 1) {
      if (!(diagonal[own] > 0)) throw new RangeError(`adjust: own unknown ${own} is not touched by any measurement`);
      for (let j = 0; j < n; j += 1) {
        const share = coupling[own * n + j] / diagonal[own];
        takenGradient[j] += share * gradient[own];
        for (let k = 0; k <= j; k += 1) taken[j * n + k] += share * coupling[own * n + k];
      }
    }
    for (let j = 0; j < n; j += 1) for (let k = 0; k < j; k += 1) taken[k * n + j] = taken[j * n + k];
  }

  /** Takes the own unknowns out of equations that are scaled by `scale` and damped. */
  takeFrom(matrix: Matrix, right: Float64Array, scale: Float64Array, damping: number): void {
    const n = this.shared;
    for (let j = 0; j < n; j += 1) {
      right[j] -= (this.takenGradient[j] * scale[j]) / (1 + damping);
      for (let k = 0; k <= j; k += 1) {
        const left = matrix.get(j, k) - (this.taken[j * n + k] * scale[j] * scale[k]) / (1 + damping);
        matrix.set(j, k, left);
        matrix.set(k, j, left);
      }
    }
  }

  /** N - E^T D^-1 E. */
  reduced = (normal: Float64Array): Float64Array => normal.map((value, at) => value - this.taken[at]);

  /** The step of all unknowns to that of the shared ones. */
  withOwn(step: Float64Array, damping: number): Float64Array {
    const n = this.shared;
    const all = new Float64Array(n + this.diagonal.length);
    all.set(step);
    this.diagonal.forEach((diagonal, own) => {
      let left = this.gradient[own];
      for (let j = 0; j < n; j += 1) left -= this.coupling[own * n + j] * step[j];
      all[n + own] = left / (diagonal * (1 + damping));
    });
    return all;
  }

  /** The longest of these steps in units of each own unknown's sigma, were all others known. */
  largestOf(step: Float64Array): number {
    let largest = 0;
    this.diagonal.forEach((diagonal, own) => {
      largest = Math.max(largest, Math.abs(step[this.shared + own]) * Math.sqrt(diagonal));
    });
    return largest;
  }

  /** Derivatives by the shared unknowns with the own ones following them, residuals x shared, and the share of each residual that they take up. */
  following(jacobian: Float64Array): { jacobian: Float64Array; taken: Float64Array } {
    const { shared: n, diagonal, coupling } = this;
    const rows = jacobian.length / (n + 1);
    const followed = new Float64Array(rows * n);
    const taken = new Float64Array(rows);
    for (let i = 0; i < rows; i += 1) {
      const own = Math.floor(i / this.perOwn);
      const byOwn = jacobian[i * (n + 1) + n];
      for (let j = 0; j < n; j += 1) {
        followed[i * n + j] = jacobian[i * (n + 1) + j] - (byOwn * coupling[own * n + j]) / diagonal[own];
      }
      taken[i] = byOwn ** 2 / diagonal[own];
    }
    return { jacobian: followed, taken };
  }
}
