import type { Readings } from './invariants.ts';
import type { Motion } from './motion.ts';

export interface MergedReadings {
  readings: Readings;
  /** How many readings each one is the mean of. */
  counts: Float64Array;
  /** When each began and ended, seconds; undefined without times that run on. */
  firstS?: Float64Array;
  lastS?: Float64Array;
  motion?: Motion;
}

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
  for (let i = 0; i < n; i += 1) {
    const joins =
      blocks >= 0 &&
      counts[blocks] < mostTogether &&
      cosine(fields, first, i) > fieldTurn &&
      cosine(ups, first, i) > upTurn;
    if (!joins) {
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
  const upTo = blocks + 1;
  return {
    readings: merged.slice(0, 6 * upTo),
    counts: counts.slice(0, upTo),
    ...(times && { firstS: firstS.slice(0, upTo), lastS: lastS.slice(0, upTo) }),
  };
}

function cosine(v: Float64Array, i: number, j: number): number {
  const [a, b, c, x, y, z] = [v[3 * i], v[3 * i + 1], v[3 * i + 2], v[3 * j], v[3 * j + 1], v[3 * j + 2]];
  return (a * x + b * y + c * z) / Math.sqrt((a * a + b * b + c * c) * (x * x + y * y + z * z));
}
