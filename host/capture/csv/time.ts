/** A column of time, and how its cells become seconds. */
export interface TimeColumn {
  at: number;
  name: string;
  /** A second column with the fraction, as seconds and nanoseconds. */
  fraction?: { at: number; factor: number };
  /** To seconds; undefined where the cells hold a date or a time of day in words. */
  factor: number | undefined;
  /** As it is told to a person. */
  unit: string;
  /** The unit was found by the size of the steps. */
  isGuess: boolean;
}

const factors: Readonly<Record<string, number>> = { s: 1, ms: 1e-3, us: 1e-6, ns: 1e-9 };
const unitWords: readonly [RegExp, string][] = [
  [/^(s|sec|secs|seconds?)$/, 's'],
  [/^(ms|msec|msecs|millis|milliseconds?|millisec)$/, 'ms'],
  [/^(us|usec|usecs|micros|microseconds?|microsec)$/, 'us'],
  [/^(ns|nsec|nsecs|nanos|nanoseconds?|nanosec)$/, 'ns'],
];
const timeWords =
  /^(t|time|times|timestamps?|ts|stamp|elapsed|epoch|unix|utc|clock|datetime|date|sampletime|loggingtime|systime|uptime|txt|rel|since|start|header|field|recording|local|seconds?|secs|millis|micros|nanos|nanoseconds?|milliseconds?|microseconds?|sensor|imu|accelerometer|accel|acc|motion|arduino|server|host|device|log|logging|sample|run|system|boot|[a-z]*timestamp|iso|of|in)$/;
const isTime = /^(t|time|times|timestamps?|ts|stamp|elapsed|epoch|unix|clock|datetime|[a-z]+time|[a-z]+timestamp)$/;
const wordsOf = (name: string): string[] =>
  name
    .normalize('NFKC')
    .replaceAll('μ', 'u')
    .replaceAll(/([a-z\d])([A-Z])/g, '$1 $2')
    .toLowerCase()
    .split(/[^a-z]+/)
    .filter((word) => word !== '');

/** The unit that a name holds; undefined where it holds none; false where it names no time. */
function unitIn(name: string): string | undefined | false {
  if (name.length > 120) return false;
  const words = wordsOf(name);
  const units = words.flatMap((word) => unitWords.flatMap(([shape, unit]) => (shape.test(word) ? [unit] : [])));
  const isAll = words.every((word) => timeWords.test(word) || unitWords.some(([shape]) => shape.test(word)));
  const isNamed = words.some((word) => isTime.test(word));
  if (!isAll || !(isNamed || (units.length > 0 && words.some((word) => word.length > 2)))) return false;
  return units.at(-1);
}

const ofDay = /(\d{1,2})[:-](\d{2})[:-](\d{2})(?:[.,:](\d+))?\s*(am|pm)?/i;
const ofDate = /^(\d{4})-(\d{2})-(\d{2})[T ]/;

/** Seconds of a date and time, or of a time of day; undefined where it is neither. */
export function secondsOf(cell: string): number | undefined {
  const date = ofDate.exec(cell);
  const time = ofDay.exec(date ? cell.slice(date[0].length) : cell);
  if (!time) return undefined;
  const [, hours, minutes, seconds, fraction = '0', half] = time;
  const hour = half ? (Number(hours) % 12) + (/pm/i.test(half) ? 12 : 0) : Number(hours);
  const day = date ? Date.UTC(Number(date[1]), Number(date[2]) - 1, Number(date[3])) / 1000 : 0;
  return day + hour * 3600 + Number(minutes) * 60 + Number(seconds) + Number(`0.${fraction}`);
}

/** Between two rows of a logger at 2.5 to 500 a second lie so many seconds; other steps could be of several units. */
const usualStepS = [0.002, 0.4] as const;

/** The unit of numbers without one: by their size where they count from 1970, else by their steps; undefined where several would do. */
function guessed(values: readonly number[]): string | undefined {
  const first = values[0];
  for (const [unit, size] of Object.entries({ s: 1e9, ms: 1e12, us: 1e15, ns: 1e18 })) {
    if (first > 0.9 * size && first < 2.5 * size) return unit;
  }
  const steps = values
    .slice(1)
    .map((value, i) => value - values[i])
    .filter((step) => step > 0)
    .sort((a, b) => a - b);
  const step = steps[Math.floor(steps.length / 2)];
  return Object.keys(factors).find(
    (unit) => step * factors[unit] >= usualStepS[0] && step * factors[unit] <= usualStepS[1],
  );
}

const isStanding = (values: readonly number[]): boolean =>
  values.length > 4 && values.slice(1).filter((value, i) => value === values[i]).length > values.length / 2;

/**
 * Finds the column of time: one that names its unit before one that does not. `doubt` says why a column that is named like a time
 * is not used.
 */
export function findTime(
  names: readonly string[],
  rows: readonly (readonly string[])[],
  numberOf: (cell: string) => number,
): { time: TimeColumn | undefined; doubt: string | undefined } {
  let doubt: string | undefined;
  const found = names.flatMap((name, at) => {
    // In any language: Zeit (s)
    const bracketed = at === 0 ? /^[\p{L}\s]+[[(](s|ms|us|µs|ns)[)\]]$/u.exec(name.trim())?.[1] : undefined;
    const unit = bracketed?.replace('µ', 'u') ?? unitIn(name);
    return unit === false ? [] : [{ name, at, unit }];
  });
  const exact = found.find(({ name }) => name.trim().toLowerCase() === 't_s');
  if (exact) return { time: { ...exact, factor: 1, unit: 's', isGuess: false }, doubt };
  for (const { name, at, unit } of [...found].sort((a, b) => Number(!a.unit) - Number(!b.unit))) {
    const cells = rows.map((row) => row[at] ?? '').filter((cell) => cell !== '');
    // A single damaged cell is told where it stands, when the rows are read.
    const most = (values: readonly (number | undefined)[]): number[] | undefined => {
      const sound = values.filter((value): value is number => value !== undefined && Number.isFinite(value));
      return sound.length > cells.length / 2 ? sound : undefined;
    };
    const numbers = most(cells.map(numberOf));
    const words = numbers ? undefined : most(cells.map(secondsOf));
    const base = { name, at, isGuess: false };
    if (words && !isStanding(words)) {
      return { time: { ...base, factor: undefined, unit: 'date or time of day' }, doubt };
    }
    if (numbers && unit === 's' && isStanding(numbers)) {
      const nanos = found.find((other) => other.unit === 'ns' && stem(other.name) === stem(name));
      const fraction = nanos && { at: nanos.at, factor: 1e-9 };
      if (fraction) return { time: { ...base, fraction, factor: 1, unit: 's and ns' }, doubt };
    } else if (numbers) {
      const known = unit ?? guessed(numbers);
      if (known !== undefined) {
        return { time: { ...base, factor: factors[known], unit: known, isGuess: unit === undefined }, doubt };
      }
      doubt ??= `"${name}" could be in several units`;
      continue;
    }
    doubt ??=
      numbers || words ? `"${name}" does not advance from row to row` : `"${name}" holds no time that can be read`;
  }
  return { time: undefined, doubt };
}

/** A name without its unit. */
const stem = (name: string): string =>
  wordsOf(name)
    .filter((word) => !unitWords.some(([shape]) => shape.test(word)))
    .join(' ');
