import type { Readings } from './invariants.ts';
import type { MergedReadings } from './mergedReadings.ts';

/** How far up and field may turn within one mean: a mean over 2.5 degrees is shorter by 0.008 percent, which a swing turns into 0.2 arcminutes of altitude. */
const fieldTurn = Math.cos((2.5 * Math.PI) / 180);
const upTurn = Math.cos((4 * Math.PI) / 180);
const mostTogether = 16;

/**
 * Means of neighbouring readings between which the board hardly turned. A hand trembles to and fro, so a mean of n readings is
 * better by more than the square root of n. Readings that stand alone stay as they are. `ups` and `fields` are rough
 * directions, three numbers each; `times` in seconds.
 */
export function mergeNeighbours(
  readings: Readings,
  ups: Float64Array,
  fields: Float64Array,
  times?: Float64Array,
): MergedReadings {
  const n = readings.length / 6;
  const merged = new Float64Array(readings.length);
  const counts = new Float64Array(n);
  const firstS = new Float64Array(n);
  const lastS = new Float64Array(n);
  let blocks = -1;
  let first = 0;
  const lengthen = (last: number): void => {
    if (last === first) return;
    lengthenMean(merged, readings, ups, 0, { block: blocks, first, last });
    lengthenMean(merged, readings, fields, 3, { block: blocks, first, last });
  };
  for (let i = 0; i < n; i += 1) {
    const joins =
      blocks >= 0 &&
      counts[blocks] < mostTogether &&
      cosine(fields, first, i) > fieldTurn &&
      cosine(ups, first, i) > upTurn;
    if (!joins) {
      if (i > 0) lengthen(i - 1);
      blocks += 1;
      first = i;
    }
    counts[blocks] += 1;
    if (times) {
      if (first === i) firstS[blocks] = times[i];
      lastS[blocks] = times[i];
    }
    for (let k = 0; k < 6; k += 1) {
      const at = 6 * blocks + k;
      merged[at] += (readings[6 * i + k] - merged[at]) / counts[blocks];
    }
  }
  if (n > 0) lengthen(n - 1);
  const upTo = blocks + 1;
  return {
    readings: merged.slice(0, 6 * upTo),
    counts: counts.slice(0, upTo),
    ...(times && { firstS: firstS.slice(0, upTo), lastS: lastS.slice(0, upTo) }),
  };
}

/**
 * The mean of n vectors spread evenly over a small angle is shorter than they are, by the part angle^2 (n + 1) / (24 (n - 1)) of
 * their length from the middle of their sphere: the variance of their places along the arc, halved.
 */
function lengthenMean(
  merged: Float64Array,
  readings: Readings,
  vectors: Float64Array,
  offset: 0 | 3,
  { block, first, last }: { block: number; first: number; last: number },
): void {
  const n = last - first + 1;
  const squaredAngle = 2 * (1 - cosine(vectors, first, last));
  const part = (squaredAngle * (n + 1)) / (24 * (n - 1));
  for (let k = 0; k < 3; k += 1) {
    const middle = readings[6 * first + offset + k] - vectors[3 * first + k];
    const at = 6 * block + offset + k;
    merged[at] += part * (merged[at] - middle);
  }
}

function cosine(v: Float64Array, i: number, j: number): number {
  const [a, b, c, x, y, z] = [v[3 * i], v[3 * i + 1], v[3 * i + 2], v[3 * j], v[3 * j + 1], v[3 * j + 2]];
  return (a * x + b * y + c * z) / Math.sqrt((a * a + b * b + c * c) * (x * x + y * y + z * z));
}
