import { norm, subtract } from '../vector.ts';
import type { StandoffReading } from './model.ts';

/** By how many times its sigma the change must grow before it is taken for more than noise. */
const seenSigmas = 5;

/**
 * How often the field changes as fast, for each metre of spacer, between the two longest spacers as between the two shortest.
 * Below 1 for iron below the board, whose field falls with a power of the distance; undefined with fewer than three lengths, or
 * where noise may be all of it.
 */
export function growthWithSpacer(readings: readonly StandoffReading[]): number | undefined {
  const lengths = [...new Map(readings.map((reading) => [reading.spacerM, reading])).values()];
  const sorted = lengths.sort((a, b) => a.spacerM - b.spacerM);
  if (sorted.length < 3) return undefined;
  const near = changePerMetre(sorted[0], sorted[1]);
  const far = changePerMetre(sorted[sorted.length - 2], sorted[sorted.length - 1]);
  if (far.change - near.change < seenSigmas * Math.hypot(near.sigma, far.sigma)) return undefined;
  return far.change / Math.max(near.change, near.sigma);
}

function changePerMetre(one: StandoffReading, other: StandoffReading): { change: number; sigma: number } {
  const stepM = other.spacerM - one.spacerM;
  return {
    change: norm(subtract(other.fieldNt, one.fieldNt)) / stepM,
    sigma: Math.hypot(one.sigmaFieldNt, other.sigmaFieldNt) / stepM,
  };
}
