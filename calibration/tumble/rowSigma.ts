import type { Adjustment } from '../adjust.ts';
import { rateClass } from './motion.ts';
import { correlationTime, invariantSpread, leastRedundancy } from './noise.ts';

/** Per class of rate: by how much each of the three whitened invariants scatters more than the chips' noise explains. */
export type RowSigma = readonly (readonly number[])[];

export const rowsOf = (sigma: readonly number[]): RowSigma => Array.from({ length: rateClass.count }, () => sigma);
export const evenRows = rowsOf([1, 1, 1]);

/**
 * The scatter of each invariant in each class, where it stands out of its own uncertainty: a hand at rest shakes the board less than
 * one that turns it. Classes of too few readings are taken as all readings together. `before` itself when nothing stands out.
 */
export function rowSigmaByClass(fit: Adjustment, classes: Uint8Array | undefined, before: RowSigma): RowSigma {
  const all = invariantSpread(fit);
  let moved = false;
  const after = before.map((sigma, of) => {
    const own = classes && invariantSpread(fit, (i) => classes[i] === of);
    return sigma.map((value, k) => {
      const tells = own && own.redundancy[k] >= leastRedundancy;
      const ratio = tells ? own.ratio[k] : all.ratio[k];
      const redundancy = Math.max(tells ? own.redundancy[k] : all.redundancy[k], 1);
      const stands = Math.abs(ratio ** 2 - 1) > 3 * Math.sqrt(2 / redundancy);
      if (!stands || (!tells && ratio < 1)) return value;
      moved = true;
      return value * ratio;
    });
  });
  return moved ? after : before;
}

/** Below this, or from fewer readings than this, an autocorrelation time is taken for white noise. */
const whiteTime = 1.5;
const leastForCorrelation = 100;

/** Integrated autocorrelation times, in readings, of each invariant in each class; 1 where neighbours do not err alike. */
export function correlationByClass(
  { residual, weight }: Adjustment,
  classes: Uint8Array | undefined,
): readonly (readonly number[])[] {
  const timesOf = (takes: (i: number) => boolean): number[] | undefined => {
    const members = [...weight.keys()].filter(takes);
    if (members.length < leastForCorrelation) return undefined;
    return [0, 1, 2].map((k) => {
      const time = correlationTime(members.map((i) => Math.sqrt(weight[i]) * residual[3 * i + k]));
      return time > whiteTime ? time : 1;
    });
  };
  const all = timesOf(() => true) ?? [1, 1, 1];
  return Array.from({ length: rateClass.count }, (_, of) => (classes && timesOf((i) => classes[i] === of)) ?? all);
}
