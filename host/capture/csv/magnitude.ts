import { rawScale, unitOfFactor, type Scale } from './unitNames.ts';

/** What the first rows of three columns say of their size. */
export interface Magnitude {
  /** Median length of the vectors. */
  median: number;
  /** Share of the vectors within a tenth of it. */
  steadyShare: number;
  /** Half of the widest range of any axis. */
  halfRange: number;
  /** Every number is whole, as counts are. */
  isWhole: boolean;
  rows: number;
}

/** Measures vectors; undefined where there are none. */
export function magnitudeOf(vectors: readonly (readonly [number, number, number])[]): Magnitude | undefined {
  if (vectors.length === 0) return undefined;
  const lengths = vectors.map(([x, y, z]) => Math.hypot(x, y, z)).sort((a, b) => a - b);
  const median = lengths[Math.floor(lengths.length / 2)];
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  for (const vector of vectors) {
    vector.forEach((value, i) => {
      low[i] = Math.min(low[i], value);
      high[i] = Math.max(high[i], value);
    });
  }
  return {
    median,
    steadyShare: lengths.filter((length) => Math.abs(length - median) < 0.1 * median).length / lengths.length,
    halfRange: Math.max(...high.map((value, i) => value - low[i])) / 2,
    isWhole: vectors.every((vector) => vector.every(Number.isInteger)),
    rows: vectors.length,
  };
}

const known = (sensor: 'accelerometer' | 'magnetometer', factor: number): Scale => ({
  factor,
  unit: unitOfFactor(sensor, factor),
  scaleKnown: true,
});

/**
 * The unit of an acceleration that does not name one, by gravity; undefined where gravity is not in it. Whole numbers may be
 * counts of any scale (1024 or 981 to 1 g are usual), and are taken as such. Bounds are our own: an uncalibrated chip in a hand.
 */
export function accelerationUnit({ median, isWhole }: Magnitude): Scale | undefined {
  if (isWhole && median > 20) return rawScale;
  if (median > 0.7 && median < 1.4) return known('accelerometer', 1);
  if (median > 7 && median < 13) return known('accelerometer', 1 / 9.80665);
  if (median > 700 && median < 1400) return known('accelerometer', 1e-3);
  return median < 5 ? undefined : rawScale;
}

/**
 * The unit of a field that does not name one, by the Earth's (22 to 67 microtesla). Iron on the board may add several times that,
 * so that numbers of some hundred are milligauss only where they swing as widely; in doubt they are counts.
 */
export function fieldUnit({ median, halfRange, isWhole }: Magnitude): Scale {
  if (median > 1e-5 && median < 1.5e-4) return known('magnetometer', 1e6);
  if (isWhole) return rawScale;
  if (median > 0.15 && median < 0.9) return known('magnetometer', 100);
  if (median > 15 && median < 90) return known('magnetometer', 1);
  if (median > 150 && median < 900 && halfRange > 150) return known('magnetometer', 0.1);
  if (median > 15_000 && median < 90_000) return known('magnetometer', 1e-3);
  return rawScale;
}
