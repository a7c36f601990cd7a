import type { Counterweight } from './rig.ts';

/** Where each weight stands, and what is left over: kilogram millimetres that the shaft's ends do not allow, > 0 too short. */
interface WeightPlaces {
  placesMm: number[];
  missingKgMm: number;
}

const sum = (values: readonly number[]): number => values.reduce((total, value) => total + value, 0);

/** Weights one behind the other, the first nearest to the axis: each one's middle from their common centre of mass. */
function stackOffsets(weights: readonly Counterweight[]): number[] {
  let reach = 0;
  const middles = weights.map(({ thickMm = 0 }) => {
    reach += thickMm;
    return reach - thickMm / 2;
  });
  const centre = sum(weights.map(({ massKg }, i) => massKg * middles[i])) / sum(weights.map(({ massKg }) => massKg));
  return middles.map((middle) => middle - centre);
}

/**
 * Places of the weights whose moment is `momentKgMm`: together at one place as far as their ranges let them (one behind the other
 * where their thickness is known); one that is at the end of its range stays there and the others make up for it.
 */
export function placesOf(weights: readonly Counterweight[], momentKgMm: number): WeightPlaces {
  const offsets = stackOffsets(weights);
  const at = (centreMm: number): number[] =>
    weights.map(({ fromMm, toMm }, i) => Math.min(toMm, Math.max(fromMm, centreMm + offsets[i])));
  const momentAt = (places: readonly number[]): number => sum(weights.map(({ massKg }, i) => massKg * places[i]));
  let low = Math.min(...weights.map(({ fromMm }, i) => fromMm - offsets[i]));
  let high = Math.max(...weights.map(({ toMm }, i) => toMm - offsets[i]));
  const [least, most] = [momentAt(at(low)), momentAt(at(high))];
  if (momentKgMm >= most) return { placesMm: at(high), missingKgMm: momentKgMm - most };
  if (momentKgMm <= least) return { placesMm: at(low), missingKgMm: momentKgMm - least };
  for (let i = 0; i < 60; i += 1) {
    const middle = (low + high) / 2;
    if (momentAt(at(middle)) < momentKgMm) low = middle;
    else high = middle;
  }
  return { placesMm: at((low + high) / 2), missingKgMm: 0 };
}
