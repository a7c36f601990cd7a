import { isUnit, sensorOfUnit, type Sensor } from './unitNames.ts';

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

const words: Readonly<Record<Sensor, RegExp>> = {
  accelerometer:
    /^(acc|accs|acce|accel|accl|acl|ac|acel|accelero|accelerometers?|acceler|accelerations?|xl|gforce|gf)$/,
  magnetometer: /^(mag|mags|magn|magne|magnet|magneto|magnetic|magnetics|magnetometers?|compass|bfield|mfield|magf)$/,
  gyro: /^(gyr|gyrs|gyro|gyros|gyroscopes?|gyrometer|gy|omega|angvel|angularvelocity|angularrate|rotationrate|rotrate)$/,
};
const letters: Readonly<Record<string, Sensor>> = {
  a: 'accelerometer',
  m: 'magnetometer',
  b: 'magnetometer',
  h: 'magnetometer',
  g: 'gyro',
  w: 'gyro',
};
const linear = /^(lin|linear|linacc|linearacceleration)$/;
const withoutGravity = /^(user|useracceleration|free|freeacc|dynamic|nogravity|dmuseracc)$/;
const gravity = /^(gravity|grav|gra)$/;
const turned = /^(world|earth|global|ned|enu|nav|inertial)$/;
/** Quantities that are no reading of these sensors, and figures about readings. */
const otherQuantities =
  /^(vel|velocity|speed|pos|position|displacement|quat|quaternion|q|qx|qy|qz|euler|angle|orient|orientation|attitude|heading|rotvec|vector|jerk|std|stdev|var|variance|cov|covariance|bias|biases|offset|offsets|min|max|rms|energy|temp|temperature|pressure|accuracy|status|error|err|sigma|scale|magnitude|total|norm|abs|gps|gnss|lat|lon|alt|rpm|force|torque|pixel|eye|gaze)$/;

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
    .filter((token) => token !== '' && !/^(axis|axes|component|data|value|values|field|sensor)$/.test(token));

type Read = Omit<ColumnName, 'at' | 'name' | 'unit'>;

function readTokens(tokens: string[]): Read | undefined {
  const cut = axisOf(tokens);
  if (cut === undefined) return undefined;
  const { axis, rest } = cut;
  const bare = rest.map((token) => token.replace(/\d+$/, ''));
  const has = (shape: RegExp): boolean => bare.some((token) => shape.test(token));
  const group = rest.join(' ');
  const angular = has(/^(angular|rotation|rotational|ang|rot)$/);
  if (angular) {
    const isRate = has(/^(velocity|vel|rate|speed)$/) && !has(words.accelerometer);
    return isRate ? { axis, group, label: '', sensor: 'gyro', isLinear: false, unfit: undefined } : undefined;
  }
  const isWhole = has(/^(including|incl|with)$/);
  if (!isWhole && has(gravity))
    return { axis, group, label: '', ...unfit('gravity as a phone works it out, not a reading') };
  if (has(withoutGravity)) return { axis, group, label: '', ...unfit('acceleration without gravity') };
  if (has(otherQuantities)) return undefined;
  const named = (['accelerometer', 'magnetometer', 'gyro'] as const).filter((sensor) => has(words[sensor]));
  if (named.length > 1) return undefined;
  const sensor = named[0] ?? letters[bare.find((token) => token in letters) ?? ''];
  if (sensor && has(turned)) return { axis, group, label: '', ...unfit('turned out of the axes of the chip') };
  const isLinear = sensor === 'accelerometer' && has(linear);
  const label = rest
    .map((token, i) =>
      sensor && (words[sensor].test(bare[i]) || bare[i] in letters) ? token.slice(bare[i].length) : token,
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

const allWords = new RegExp(
  `${words.accelerometer.source}|${words.magnetometer.source}|${words.gyro.source}|^[amgwbh]$|${gravity.source}|${withoutGravity.source}`,
);
const axisShape = /^[xyz]$/;

/** Parts the axis from the other words: a word of its own, or at the end or the beginning of a known one. */
function axisOf(tokens: string[]): { axis: ColumnName['axis']; rest: string[] } | undefined {
  const without = (i: number, left?: string): string[] => tokens.flatMap((t, j) => (j === i ? (left ?? []) : t));
  const alone = tokens.findLastIndex((token) => axisShape.test(token));
  if (alone >= 0) return { axis: tokens[alone] as ColumnName['axis'], rest: without(alone) };
  for (let i = tokens.length - 1; i >= 0; i -= 1) {
    const [, word, axis, count] = /^(.+?)([xyz])(?:axis)?(\d*)$/.exec(tokens[i]) ?? [];
    if (word !== undefined && allWords.test(word.replace(/\d+$/, ''))) {
      return { axis: axis as ColumnName['axis'], rest: without(i, word + count) };
    }
    const [, first, last] = /^([xyz])(.+)$/.exec(tokens[i]) ?? [];
    if (last === 'axis') return { axis: first as ColumnName['axis'], rest: without(i) };
    if (last !== undefined && last.length > 1 && allWords.test(last.replace(/\d+$/, ''))) {
      return { axis: first as ColumnName['axis'], rest: without(i, last) };
    }
  }
  const end = tokens.length - 1;
  if (end > 0 && /^[0-3]$/.test(tokens[end])) return { axis: tokens[end] as ColumnName['axis'], rest: without(end) };
  const [, word, axis] = /^(.+?)([0-3])$/.exec(tokens[end] ?? '') ?? [];
  if (word !== undefined && word.length > 1 && allWords.test(word)) {
    return { axis: axis as ColumnName['axis'], rest: without(end, word) };
  }
  return undefined;
}
