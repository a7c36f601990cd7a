import { printable } from '../../output.ts';
import { isUnit, type Sensor, sensorOfUnit } from './units.ts';

/** What a column's name says. */
export interface ColumnName {
  at: number;
  /** As the file writes it. */
  name: string;
  /** Undefined where the name holds an axis and nothing else. */
  sensor: Sensor | undefined;
  axis: 'x' | 'y' | 'z' | '0' | '1' | '2' | '3';
  /** The same for the three axes of one sensor. */
  group: string;
  /** The words beside the sensor: the same for the sensors of one board. */
  label: string;
  /** As the name writes it. */
  unit: string | undefined;
  /** Named as if gravity might have been taken out, as a phone's linear acceleration is; its size tells. */
  isLinear: boolean;
  /** Why it is not what the chip read, though it is named like it. */
  unfit: string | undefined;
}

const setOf = (said: string): ReadonlySet<string> => new Set(said.split(' '));

/** What words of a name stand for, all in small letters and without the number behind them. */
const words = {
  accelerometer: setOf(
    'acc accs acce accel accl acl ac acel accelero accelerometer accelerometers acceler acceleration accelerations xl gforce gf',
  ),
  magnetometer: setOf(
    'mag mags magn magne magnet magneto magnetic magnetics magnetometer magnetometers compass bfield mfield magf',
  ),
  gyro: setOf(
    'gyr gyrs gyro gyros gyroscope gyroscopes gyrometer gy omega angvel angularvelocity angularrate rotationrate rotrate',
  ),
  angle: setOf('angular rotation rotational ang rot'),
  rate: setOf('velocity vel rate speed'),
  whole: setOf('including incl with'),
  linear: setOf('lin linear linacc linearacceleration'),
  withoutGravity: setOf('user useracceleration free freeacc dynamic nogravity dmuseracc'),
  gravity: setOf('gravity grav gra'),
  turned: setOf('world earth global ned enu nav inertial'),
  /** Quantities that are no reading of these sensors, and figures about readings. */
  other: setOf(
    'vel velocity speed pos position displacement quat quaternion q qx qy qz euler angle orient orientation attitude heading rotvec ' +
      'vector jerk std stdev var variance cov covariance bias biases offset offsets min max rms energy temp temperature pressure accuracy ' +
      'status error err sigma scale magnitude total norm abs gps gnss lat lon alt rpm force torque pixel eye gaze',
  ),
  /** Words that say nothing. */
  filling: setOf('axis axes component data value values field sensor'),
} as const;
type Meaning = keyof typeof words;

/** Letters that stand for a sensor where no word does. */
const letters: ReadonlyMap<string, Sensor> = new Map([
  ['a', 'accelerometer'],
  ['m', 'magnetometer'],
  ['b', 'magnetometer'],
  ['h', 'magnetometer'],
  ['g', 'gyro'],
  ['w', 'gyro'],
]);
const sensors = ['accelerometer', 'magnetometer', 'gyro'] as const;

/** Whether a word may have its axis before or behind it, as in accelX. */
const mayHoldAxis = (word: string): boolean =>
  letters.has(word) ||
  [...sensors, 'gravity' as const, 'withoutGravity' as const].some((each) => words[each].has(word));

const withoutNumber = (word: string): string => word.replace(/\d+$/, '');

/** No logger's name is longer. */
const longestName = 120;

/** Reads one name; undefined where it is none of a sensor's axis. */
export function readName(name: string, at: number): ColumnName | undefined {
  if (name.length > longestName) return undefined;
  const text = name.normalize('NFKC').replaceAll('˚', '°').trim();
  for (const [rest, unit] of splits(text)) {
    // As it stands first: gFx is one word; then cut where small letters meet large ones.
    const spaced = rest.replaceAll(/([a-z\d])([A-Z])/g, '$1 $2').replaceAll(/([A-Z])([A-Z][a-z])/g, '$1 $2');
    for (const tokens of [tokensOf(rest), tokensOf(spaced)]) {
      const read = readTokens(tokens);
      if (read && (read.sensor || read.unfit)) return { at, name, unit, ...read };
    }
    const bare = readTokens(tokensOf(spaced));
    if (bare && (unit !== undefined || bare.group === '')) {
      return { at, name, unit, ...bare, sensor: unit === undefined ? undefined : sensorOfUnit(unit) };
    }
  }
  return undefined;
}

const unitShape = '(m_s_?\\^?2|rad_s|deg_s|[^_\\s.]+)';
/** ax_m_s2 */
const unitBehind = new RegExp(`^(.+?)[_\\s.]${unitShape}$`, 'i');
/** accelerometer_m_s2 0 */
const unitBeforeAxis = new RegExp(`^(.+?)[_\\s.]${unitShape}[_\\s.]([xyz0-3])$`, 'i');

/** The ways to part a name into words and unit, the likeliest first. */
function splits(text: string): [rest: string, unit: string | undefined][] {
  const index = /^(.*)[[(]\s*([xyz0-3])\s*[\])]$/i.exec(text);
  const base = index ? `${index[1]} ${index[2]}` : text;
  const bracket = /^([^[({]*)[[({](.*)[\])}]([^[({]*)$/.exec(base);
  if (bracket) {
    const unit = bracket[2].trim();
    return isUnit(unit) ? [[bracket[1] + bracket[3], unit]] : [[base.replaceAll(/[[\](){}]/g, ' '), undefined]];
  }
  const [, said, saidUnit = ''] = /^(.*?)\s*[,/]\s+(\S+)$/.exec(base) ?? [];
  if (isUnit(saidUnit)) return [[said, saidUnit]];
  const [, front, unit = ''] = unitBehind.exec(base) ?? [];
  if (isUnit(unit))
    return [
      [front, unit],
      [base, undefined],
    ];
  const [, sensor, between = '', axis] = unitBeforeAxis.exec(base) ?? [];
  if (isUnit(between))
    return [
      [`${sensor} ${axis}`, between],
      [base, undefined],
    ];
  return [[base, undefined]];
}

const tokensOf = (text: string): string[] =>
  text
    .toLowerCase()
    .split(/[^\p{L}\p{N}]+/u)
    .filter((token) => token !== '' && !words.filling.has(token));

type Read = Omit<ColumnName, 'at' | 'name' | 'unit'>;

function readTokens(tokens: string[]): Read | undefined {
  const cut = axisOf(tokens);
  if (cut === undefined) return undefined;
  const { axis, rest } = cut;
  const bare = rest.map(withoutNumber);
  const has = (meaning: Meaning): boolean => bare.some((token) => words[meaning].has(token));
  const group = rest.join(' ');
  if (has('angle')) {
    const isRate = has('rate') && !has('accelerometer');
    return isRate ? { axis, group, label: '', sensor: 'gyro', isLinear: false, unfit: undefined } : undefined;
  }
  if (!has('whole') && has('gravity'))
    return { axis, group, label: '', ...unfit('gravity as a phone works it out, not a reading') };
  if (has('withoutGravity')) return { axis, group, label: '', ...unfit('acceleration without gravity') };
  if (has('other')) return undefined;
  const named = sensors.filter(has);
  if (named.length > 1) return undefined;
  const sensor = named[0] ?? letters.get(bare.find((token) => letters.has(token)) ?? '');
  if (sensor && has('turned')) return { axis, group, label: '', ...unfit('turned out of the axes of the chip') };
  const isLinear = sensor === 'accelerometer' && has('linear');
  const label = rest
    .map((token, i) =>
      sensor && (words[sensor].has(bare[i]) || letters.has(bare[i])) ? token.slice(bare[i].length) : token,
    )
    .filter((token) => token !== '')
    .join(' ');
  return { axis, group, label, sensor, isLinear, unfit: undefined };
}

const unfit = (why: string): Pick<Read, 'sensor' | 'isLinear' | 'unfit'> => ({
  sensor: undefined,
  isLinear: false,
  unfit: why,
});

const axisShape = /^[xyz]$/;

/** Parts the axis from the other words: a word of its own, or at the end or the beginning of a known one. */
function axisOf(tokens: string[]): { axis: ColumnName['axis']; rest: string[] } | undefined {
  const without = (i: number, left?: string): string[] => tokens.flatMap((t, j) => (j === i ? (left ?? []) : t));
  const alone = tokens.findLastIndex((token) => axisShape.test(token));
  if (alone >= 0) return { axis: tokens[alone] as ColumnName['axis'], rest: without(alone) };
  for (let i = tokens.length - 1; i >= 0; i -= 1) {
    const [, word, axis, count] = /^(.+?)([xyz])(?:axis)?(\d*)$/.exec(tokens[i]) ?? [];
    if (word !== undefined && mayHoldAxis(withoutNumber(word))) {
      return { axis: axis as ColumnName['axis'], rest: without(i, word + count) };
    }
    const [, first, last] = /^([xyz])(.+)$/.exec(tokens[i]) ?? [];
    if (last === 'axis') return { axis: first as ColumnName['axis'], rest: without(i) };
    if (last !== undefined && last.length > 1 && mayHoldAxis(withoutNumber(last))) {
      return { axis: first as ColumnName['axis'], rest: without(i, last) };
    }
  }
  const end = tokens.length - 1;
  if (end > 0 && /^[0-3]$/.test(tokens[end])) return { axis: tokens[end] as ColumnName['axis'], rest: without(end) };
  const [, word, axis] = /^(.+?)([0-3])$/.exec(tokens[end] ?? '') ?? [];
  if (word !== undefined && word.length > 1 && mayHoldAxis(word)) {
    return { axis: axis as ColumnName['axis'], rest: without(end, word) };
  }
  return undefined;
}

/** A name of a file's column, short and harmless enough for a message. */
export const shown = (name: string, longest = 40): string => printable(name.slice(0, longest));
