import { exitCode, Failure } from '../../failure.ts';
import { printable } from '../../output.ts';
import { groupsOf, type Group } from './groups.ts';
import { accelerationUnit, fieldUnit, magnitudeOf, type Magnitude } from './magnitude.ts';
import { findTime, type TimeColumn } from './time.ts';
import { unitNamed, unitsRead, type Scale, type Sensor } from './unitNames.ts';

/** Which columns of a file are read, and as what. */
export interface Columns {
  time?: TimeColumn;
  accelerometer?: Triple;
  magnetometer?: Triple;
  gyro?: Triple;
  temperature?: { at: number; name: string };
  /** Names of the columns that are passed over. */
  others: string[];
  /** What a person should know of those that look like a sensor's. */
  warnings: string[];
}

export interface Triple extends Scale {
  at: readonly [number, number, number];
  names: readonly [string, string, string];
  /** -1 where the column counts the other way. */
  signs: readonly [number, number, number];
  /** The unit is found by the size of the numbers. */
  isGuess: boolean;
}

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

const leastGravityG = 0.5;
const examples: Readonly<Record<Sensor, string>> = {
  accelerometer: 'ax_g,ay_g,az_g',
  magnetometer: 'mx_ut,my_ut,mz_ut',
  gyro: 'gx_dps,gy_dps,gz_dps',
};

interface Candidate {
  group: Group;
  magnitude: Magnitude | undefined;
  /** Undefined where gravity is not in it, or no unit can be found. */
  scale: Scale | undefined;
  isGuess: boolean;
}

/** Chooses among the columns of a file. Throws Failure where a sensor is there only in part or in two units, or where there is none. */
export function chooseColumns(table: Table): Columns {
  const { names, rows, numberOf, where } = table;
  const fail = (what: string, whatToDo: string): never => {
    throw new Failure(exitCode.badData, `${where}: ${printable(what)}`, printable(whatToDo));
  };
  const { groups, unfit, partial, twice } = groupsOf(table);
  if (twice !== undefined) fail(`column ${shown(twice)} is there twice`, 'Rename or delete one of them.');
  const warnings: string[] = [];
  if (unfit.length > 0) {
    warnings.push(`${where}: passed over ${unfit.map(({ name, why }) => `${shown(name)} (${why})`).join(', ')}.`);
  }

  const vectorsOf = ({ at }: Group): [number, number, number][] =>
    rows.flatMap((row) => {
      const vector = at.map((i) => numberOf(row[i] ?? '')) as [number, number, number];
      return vector.every(Number.isFinite) ? [vector] : [];
    });
  const measured = groups.map((group): Candidate => {
    const magnitude = magnitudeOf(vectorsOf(group));
    const named = group.unit === undefined ? undefined : unitNamed(group.sensor, group.unit);
    const isGuess = named === undefined;
    const size = magnitude && group.unit === undefined ? sizeUnit(group.sensor, magnitude) : undefined;
    return { group, magnitude, scale: named ?? size, isGuess };
  });

  const columns: Columns = { others: [], warnings };
  let label: string | undefined;
  for (const sensor of ['magnetometer', 'accelerometer', 'gyro'] as const) {
    const all = measured.filter(({ group }) => group.sensor === sensor);
    const fits = all.filter((candidate) => isFit(candidate));
    for (const candidate of all) {
      // Only a replay needs rates, and it does without.
      const isIdle = sensor === 'gyro' && (candidate.group.unit === undefined || candidate.scale !== undefined);
      if (!fits.includes(candidate) && !isIdle) warnings.push(`${where}: ${whyUnfit(candidate)}`);
    }
    const part = partial.find((each) => each.sensor === sensor);
    if (all.length === 0 && part) {
      if (part.isOwn || groups.length === 0) fail(part.what, `${part.whatToDo}: ${examples[sensor]}.`);
      warnings.push(`${where}: the ${sensor} is passed over: ${part.what}.`);
    }
    const wanted = table.wanted === undefined ? [] : fits.filter(({ group }) => isWanted(group, table.wanted!));
    // The magnetometer's own board before another.
    const rank = ({ group }: Candidate): number =>
      group.rank + (label !== undefined && group.label !== label ? 5000 : 0);
    const [chosen, ...left] = [...(wanted.length > 0 ? wanted : fits)].sort((a, b) => rank(a) - rank(b));
    if (chosen === undefined) continue;
    label ??= chosen.group.label;
    const { group, scale, isGuess } = chosen;
    const signs = group.names.map((name) => (name.startsWith('-') ? -1 : 1)) as [number, number, number];
    columns[sensor] = { at: group.at, names: group.names, signs, isGuess, ...scale! };
    if (wanted.length === 0 && left.length > 0 && sensor !== 'gyro') {
      const others = left.map((each) => shown(each.group.names[0])).join(', ');
      warnings.push(
        `${where}: several sensors of one kind: took the ${sensor} ${shown(group.names[0])}, not ${others}; --sensor WORD takes the one whose names hold that word.`,
      );
    }
  }
  if (table.wanted !== undefined && !groups.some((group) => isWanted(group, table.wanted!))) {
    fail(
      `no sensor's columns hold the word "${shown(table.wanted)}"`,
      `Give --sensor a word of one of these: ${groups.map((group) => shown(group.names[0])).join(', ')}.`,
    );
  }
  if (columns.accelerometer === undefined && columns.magnetometer === undefined) {
    fail(
      `no column of an accelerometer or a magnetometer among "${shown(names.slice(0, 16).join(','), 200)}"`,
      [
        ...warnings.map((warning) => warning.slice(where.length + 2).replace(/^./, (letter) => letter.toUpperCase())),
        'Name the columns in the first line: ax_g,ay_g,az_g,mx_ut,my_ut,mz_ut (or _raw in place of a unit), or give their names in order with --columns.',
      ].join(' '),
    );
  }
  const { time, doubt } = findTime(names, rows, numberOf);
  if (doubt !== undefined && time === undefined) {
    warnings.push(`${where}: the time is not used: ${doubt}; name it t_s, t_ms, t_us or t_ns, or give --rate.`);
  }
  columns.time = time;
  columns.temperature = temperatureAmong(table);
  const used = [
    columns.time?.at,
    columns.time?.fraction?.at,
    columns.temperature?.at,
    ...(['accelerometer', 'magnetometer', 'gyro'] as const).flatMap((sensor) => columns[sensor]?.at ?? []),
  ];
  columns.others = names.filter((name, at) => name !== '' && !used.includes(at));
  return columns;
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
const isFit = (candidate: Candidate): boolean =>
  candidate.scale !== undefined &&
  !lacksGravity(candidate) &&
  (candidate.scale.scaleKnown || candidate.group.sensor !== 'gyro');

function whyUnfit(candidate: Candidate): string {
  const { group, magnitude } = candidate;
  const named = group.names.map((name) => shown(name)).join(', ');
  if (lacksGravity(candidate)) {
    const size = magnitude!.median.toPrecision(2);
    return group.unit === undefined
      ? `passed over ${named}: a length of about ${size} is no gravity in g, m/s² or mg${hint(group)}.`
      : `passed over ${named}: a length of about ${size} ${shown(group.unit)} has no gravity in it${hint(group)}.`;
  }
  return `passed over ${named}: named like the ${group.sensor}, but ${group.unit === undefined ? 'without a unit' : `"${shown(group.unit)}" is no unit that is read`}: ${unitsRead(group.sensor)} (_raw for counts), such as ${examples[group.sensor]}.`;
}

const hint = ({ isLinear }: Group): string =>
  isLinear ? ', as in a linear acceleration; record what the accelerometer reads with gravity' : '';

const isWanted = ({ names }: Group, word: string): boolean => names[0].toLowerCase().includes(word.toLowerCase());

/** Degrees Celsius, told by the name or, where it names no unit, by values that a night can have. */
function temperatureAmong({ names, rows, numberOf }: Table): Columns['temperature'] {
  const exact = names.findIndex((name) => name.trim().toLowerCase() === 'temp_c');
  const shape =
    /^(imu|board|sensor|chip|mag|accel|acc|gyro)?[\s_.]*(temp|temperature)[\s_.]*([[(]?(°?c|degc|deg c|celsius)[\])]?)?$/i;
  const at = exact >= 0 ? exact : names.findIndex((name) => shape.test(name.trim()));
  if (at < 0) return undefined;
  const values = rows.map((row) => numberOf(row[at] ?? '')).filter(Number.isFinite);
  const isSound = values.length > 0 && values.every((value) => value > -60 && value < 100);
  return exact >= 0 || isSound ? { at, name: names[at] } : undefined;
}

const shown = (name: string, longest = 40): string => printable(name.slice(0, longest));
