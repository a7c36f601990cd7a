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
export const unitOfFactor = (sensor: Sensor, factor: number): string =>
  units[sensor].find((unit) => unit.factor === factor)?.name ?? '';
