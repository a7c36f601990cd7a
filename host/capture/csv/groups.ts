import { type ColumnName, readName, shown } from './columnName.ts';
import {
  accelerationUnit,
  fieldUnit,
  type Magnitude,
  magnitudeOf,
  plain,
  type Scale,
  type Sensor,
  sensorOfUnit,
  unitNamed,
  unitsRead,
} from './units.ts';

/** What the columns are chosen by. */
export interface Table {
  names: readonly string[];
  /** Units of a second row of the header. */
  units?: readonly string[];
  /** The first rows. */
  rows: readonly (readonly string[])[];
  numberOf: (cell: string) => number;
  /** Words of the file's name, for columns that are named by their axis only. */
  fileName: string;
  /** A word of the names of the sensor that is wanted, where there are several. */
  wanted?: string;
  /** Where the names stand, for messages. */
  where: string;
}

/** Three columns of one sensor. */
export interface Group {
  sensor: Sensor;
  at: readonly [number, number, number];
  names: readonly [string, string, string];
  unit: string | undefined;
  isLinear: boolean;
  /** What the names hold beside the sensor: the same for the sensors of one board. */
  label: string;
  /** Named as this program names columns. */
  isOwn: boolean;
  /** Smaller is more like what this program names itself, or stands further to the left. */
  rank: number;
}

export interface Groups {
  groups: Group[];
  /** Named like a sensor, but no reading of one. */
  unfit: { name: string; why: string }[];
  /** Sensors that lack an axis, or whose axes have several units. */
  partial: { sensor: Sensor; isOwn: boolean; what: string; whatToDo: string }[];
  /** A name that two columns have. */
  twice: string | undefined;
}

interface Named extends ColumnName {
  sensor: Sensor;
}

const isOwnName = ({ name }: ColumnName): boolean => /^[amg][xyz]_[a-z0-9]+$/i.test(name.trim());

/** Puts the columns together that are the three axes of one sensor. */
export function groupsOf(table: Table): Groups {
  const found = table.names.flatMap((name, at) => readName(name, at) ?? []);
  const unfit = found.flatMap(({ name, unfit: why }) => (why === undefined ? [] : [{ name, why }]));
  const fit = found.filter((each) => each.unfit === undefined);
  for (const each of fit) each.unit ??= unitBelow(table, each.at);
  for (const each of fit) if (each.unit !== undefined) each.sensor ??= sensorOfUnit(each.unit);
  const named = [...fit.filter((each): each is Named => each.sensor !== undefined), ...nameless(table, fit)];

  const groups: Group[] = [];
  const partial: Groups['partial'] = [];
  let twice: string | undefined;
  for (const sameSensor of parted(named, ({ sensor, group }) => `${sensor} ${group}`)) {
    const { sensor } = sameSensor[0];
    let whole = 0;
    for (const same of parted(sameSensor, ({ unit }) => plain(unit ?? ''))) {
      const axes = axesOf(same);
      twice ??= same.find((each, i) => same.some((other, j) => j < i && other.axis === each.axis))?.name;
      const three = axes.map((axis) => same.find((each) => each.axis === axis));
      if (!three.every((each) => each !== undefined)) continue;
      whole += 1;
      const isOwn = isOwnName(three[0]);
      groups.push({
        sensor,
        isOwn,
        label: same[0].label,
        at: [three[0].at, three[1].at, three[2].at],
        names: [three[0].name, three[1].name, three[2].name],
        unit: same[0].unit,
        isLinear: same[0].isLinear,
        rank: same[0].at + (isOwn ? 0 : 1e4) + (same[0].isLinear ? 1e5 : 0),
      });
    }
    if (whole === 0) partial.push({ sensor, isOwn: isOwnName(sameSensor[0]), ...whatLacks(sameSensor, sensor) });
  }
  return { groups, unfit, partial, twice };
}

function parted<T>(all: readonly T[], keyOf: (each: T) => string): T[][] {
  const parts = new Map<string, T[]>();
  for (const each of all) parts.set(keyOf(each), [...(parts.get(keyOf(each)) ?? []), each]);
  return [...parts.values()];
}

/** x, y, z or counted from 0 or from 1. */
function axesOf(same: readonly ColumnName[]): readonly ColumnName['axis'][] {
  if (same.some(({ axis }) => axis === 'x' || axis === 'y' || axis === 'z')) return ['x', 'y', 'z'];
  return same.some(({ axis }) => axis === '0') ? ['0', '1', '2'] : ['1', '2', '3'];
}

function whatLacks(same: readonly Named[], sensor: Sensor): { what: string; whatToDo: string } {
  const [first] = same;
  const axes = axesOf(same);
  if (axes.every((axis) => same.some((each) => each.axis === axis))) {
    const odd = same.find(({ unit }) => plain(unit ?? '') !== plain(first.unit ?? ''))!;
    return { what: `mixed units: column ${odd.name} beside ${first.name}`, whatToDo: `Give the ${sensor} one unit` };
  }
  const lacking = axes.find((axis) => !same.some((each) => each.axis === axis))!;
  const at = first.name.toLowerCase().lastIndexOf(first.axis);
  const name = `${first.name.slice(0, at)}${lacking}${first.name.slice(at + 1)}`;
  return { what: `column ${name} is missing`, whatToDo: `The ${sensor} needs all three axes` };
}

function unitBelow({ units }: Table, at: number): string | undefined {
  const unit = (units?.[at] ?? '').replace(/^[[({](.*)[\])}]$/, '$1').trim();
  return unit === '' ? undefined : unit;
}

/** Columns named x, y and z only: the unit, the file's name, or a steady length of one gravity tells the sensor. */
function nameless(table: Table, fit: readonly ColumnName[]): Named[] {
  const axes = fit.filter(({ sensor, group }) => sensor === undefined && group === '');
  const three = ['x', 'y', 'z'].map((axis) => axes.filter((each) => each.axis === axis));
  if (!three.every((same) => same.length === 1)) return [];
  const byFile = readName(`${table.fileName} x`, 0);
  const at = three.map(([{ at }]) => at);
  const sensor = byFile?.sensor ?? (byFile?.unfit === undefined && isGravity(table, at) ? 'accelerometer' : undefined);
  const isLinear = byFile?.isLinear ?? false;
  return sensor === undefined ? [] : axes.map((each) => ({ ...each, sensor, isLinear }));
}

function isGravity({ rows, numberOf }: Table, at: readonly number[]): boolean {
  const vectors = rows.map((row) => at.map((i) => numberOf(row[i] ?? '')) as [number, number, number]);
  const size = magnitudeOf(vectors.filter((vector) => vector.every(Number.isFinite)));
  if (size === undefined || size.rows < 4 || size.steadyShare < 0.8) return false;
  return [1, 9.80665].some((gravity) => Math.abs(size.median / gravity - 1) < 0.05);
}

const leastGravityG = 0.5;
/** Names that are read as they stand. */
export const examples: Readonly<Record<Sensor, string>> = {
  accelerometer: 'ax_g,ay_g,az_g',
  magnetometer: 'mx_ut,my_ut,mz_ut',
  gyro: 'gx_dps,gy_dps,gz_dps',
};

/** Three columns that might be taken. */
export interface Candidate {
  group: Group;
  magnitude: Magnitude | undefined;
  /** Undefined where gravity is not in it, or no unit can be found. */
  scale: Scale | undefined;
  isGuess: boolean;
}

/** Looks at the first rows of three columns. */
export function candidateOf({ rows, numberOf }: Table, group: Group): Candidate {
  const vectors = rows.flatMap((row) => {
    const vector = group.at.map((i) => numberOf(row[i] ?? '')) as [number, number, number];
    return vector.every(Number.isFinite) ? [vector] : [];
  });
  const magnitude = magnitudeOf(vectors);
  const named = group.unit === undefined ? undefined : unitNamed(group.sensor, group.unit);
  const size = magnitude && group.unit === undefined ? sizeUnit(group.sensor, magnitude) : undefined;
  return { group, magnitude, scale: named ?? size, isGuess: named === undefined };
}

const sizeUnit = (sensor: Sensor, magnitude: Magnitude): Scale | undefined =>
  sensor === 'gyro' ? undefined : sensor === 'accelerometer' ? accelerationUnit(magnitude) : fieldUnit(magnitude);

/** An accelerometer feels gravity whatever it does. */
const lacksGravity = ({ group, magnitude, scale }: Candidate): boolean =>
  group.sensor === 'accelerometer' &&
  magnitude !== undefined &&
  (scale === undefined
    ? group.unit === undefined
    : scale.scaleKnown && magnitude.median * scale.factor < leastGravityG);

/** Rates in counts serve nobody. */
export const isFit = (candidate: Candidate): boolean =>
  candidate.scale !== undefined &&
  !lacksGravity(candidate) &&
  (candidate.scale.scaleKnown || candidate.group.sensor !== 'gyro');

/** Why three columns that are named like a sensor's are skipped; undefined where nobody misses them. */
export function whyUnfit(candidate: Candidate): string | undefined {
  const { group, magnitude, scale } = candidate;
  // Only a replay needs rates, and it does without.
  if (group.sensor === 'gyro' && (group.unit === undefined || scale !== undefined)) return undefined;
  const named = group.names.map((name) => shown(name)).join(', ');
  if (lacksGravity(candidate)) {
    const size = magnitude!.median.toPrecision(2);
    return group.unit === undefined
      ? `skipped ${named}: a length of about ${size} is not gravity in g, m/s² or mg${hint(group)}.`
      : `skipped ${named}: a length of about ${size} ${shown(group.unit)} has no gravity in it${hint(group)}.`;
  }
  return `skipped ${named}: named like the ${group.sensor}, but ${group.unit === undefined ? 'without a unit' : `"${shown(group.unit)}" is not a unit that this program reads`}: ${unitsRead(group.sensor)} (_raw for counts), such as ${examples[group.sensor]}.`;
}

const hint = ({ isLinear }: Group): string =>
  isLinear ? ', as in a linear acceleration; record what the accelerometer reads with gravity' : '';
