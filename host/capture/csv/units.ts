export type Sensor = 'accelerometer' | 'magnetometer' | 'gyro';

/** Conventional value of the acceleration of free fall (3rd General Conference on Weights and Measures, 1901). */
const standardGravityMs2 = 9.80665;

/** A unit's usual spellings, after `plain`, with the factor to g, microtesla or degrees a second. */
interface Unit {
  spellings: readonly string[];
  factor: number;
  /** As we write it. */
  name: string;
}

const units: Readonly<Record<Sensor, readonly Unit[]>> = {
  accelerometer: [
    { name: 'g', factor: 1, spellings: ['g', 'gs', 'gee', 'gees', 'gn', 'g0', 'gforce'] },
    { name: 'mg', factor: 1e-3, spellings: ['mg', 'mgs', 'millig'] },
    {
      name: 'm/s²',
      factor: 1 / standardGravityMs2,
      spellings: ['m/s2', 'ms2', 'ms-2', 'm/s/s', 'm/ss', 'mss', 'mps2', 'mpss', 'm/sec2', 'meters/second2'],
    },
    { name: 'cm/s²', factor: 0.01 / standardGravityMs2, spellings: ['cm/s2', 'cms2', 'cms-2', 'gal'] },
    { name: 'mm/s²', factor: 1e-3 / standardGravityMs2, spellings: ['mm/s2', 'mms2', 'mms-2'] },
  ],
  magnetometer: [
    { name: 'microtesla', factor: 1, spellings: ['ut', 'utesla', 'microtesla', 'microteslas', 'microt'] },
    { name: 'nanotesla', factor: 1e-3, spellings: ['nt', 'ntesla', 'nanotesla', 'gamma'] },
    { name: 'millitesla', factor: 1e3, spellings: ['mt', 'millitesla'] },
    { name: 'tesla', factor: 1e6, spellings: ['t', 'tesla', 'teslas'] },
    { name: 'gauss', factor: 100, spellings: ['gauss', 'g', 'ga', 'gs'] },
    { name: 'milligauss', factor: 0.1, spellings: ['mgauss', 'milligauss', 'mg', 'mga', 'mgs'] },
  ],
  gyro: [
    {
      name: 'degrees a second',
      factor: 1,
      spellings: ['dps', 'deg/s', 'degs', 'degps', 'deg/sec', 'degs-1', 'degrees/s', 'degrees/second', 'degrees/sec'],
    },
    {
      name: 'radians a second',
      factor: 180 / Math.PI,
      spellings: ['rad/s', 'rads', 'radps', 'rad/sec', 'rads-1', 'radians/s', 'radians/second', 'radians/sec'],
    },
    { name: 'thousandths of a degree a second', factor: 1e-3, spellings: ['mdps', 'mdeg/s'] },
  ],
};

const rawSpellings = ['raw', 'lsb', 'lsbs', 'count', 'counts', 'cnt', 'adc', 'digit', 'digits', 'localflux', 'au'];

export interface Scale {
  /** From the column's unit to g, microtesla or degrees a second; 1 where the scale is unknown. */
  factor: number;
  /** The unit in our spelling. */
  unit: string;
  scaleKnown: boolean;
}

/** Counts of unknown scale. */
export const rawScale: Scale = { factor: 1, unit: 'counts of unknown scale', scaleKnown: false };

/** `m / (s^2)`, `m·s⁻²` and `M_S2` all come out as what the tables hold. */
export const plain = (unit: string): string =>
  unit
    .replaceAll(/[°º˚]/g, 'deg')
    .normalize('NFKC')
    .toLowerCase()
    .replaceAll('μ', 'u')
    .replaceAll('−', '-')
    .replaceAll(/\bmetres?\b|\bmeters?\b/g, 'meters')
    .replaceAll(/\bper\b/g, '/')
    .replace(/m_s_?\^?2$/, 'm/s2')
    .replace(/(rad|deg)_s(ec)?$/, '$1/s')
    .replaceAll(/squared/g, '2')
    .replaceAll(/[\s_*·⋅.^()]/g, '');

/** The unit of a sensor that these words name. */
export function unitNamed(sensor: Sensor, words: string): Scale | undefined {
  const spelling = plain(words);
  if (rawSpellings.includes(spelling)) return rawScale;
  const found = units[sensor].find(({ spellings }) => spellings.includes(spelling));
  return found && { factor: found.factor, unit: found.name, scaleKnown: true };
}

/** Whose unit this is, where no other sensor has one of that name; `g` is an acceleration unless the name says otherwise. */
export function sensorOfUnit(words: string): Sensor | undefined {
  const spelling = plain(words);
  if (['g', 'mg', 'gs', 'mgs'].includes(spelling)) return /G/.test(words) ? undefined : 'accelerometer';
  return (['accelerometer', 'magnetometer', 'gyro'] as const).find((sensor) =>
    units[sensor].some(({ spellings }) => spellings.includes(spelling)),
  );
}

/** Whether a word is any unit at all, as the second row of a header holds them. */
export const isUnit = (words: string): boolean =>
  rawSpellings.includes(plain(words)) ||
  Object.values(units).some((each) => each.some(({ spellings }) => spellings.includes(plain(words)))) ||
  /^(s|sec|seconds?|ms|us|ns|c|degc|deg|hpa|pa|mbar|%|n\/?a|nounits?|none|yyyy.*)$/.test(plain(words));

/** The units that are read, for a message. */
export const unitsRead = (sensor: Sensor): string => units[sensor].map(({ name }) => name).join(', ');

/** The unit of this factor in our spelling. */
const unitOfFactor = (sensor: Sensor, factor: number): string =>
  units[sensor].find((unit) => unit.factor === factor)?.name ?? '';

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
