import { exitCode, Failure } from '../../failure.ts';
import { printable } from '../../output.ts';
import { readName, shown } from './columnName.ts';
import {
  type Candidate,
  candidateOf,
  examples,
  type Group,
  type Groups,
  groupsOf,
  isFit,
  type Table,
  whyUnfit,
} from './groups.ts';
import { findTime, type TimeColumn } from './time.ts';
import type { Scale, Sensor } from './units.ts';

/** Which columns of a file are read, and as what. */
export interface Columns {
  time?: TimeColumn;
  accelerometer?: Triple;
  magnetometer?: Triple;
  gyro?: Triple;
  temperature?: { at: number; name: string };
  /** Names of the columns that are skipped. */
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

/** Chooses among the columns of a file. Throws Failure where a sensor is there only in part or in two units, or where there is none. */
export function chooseColumns(table: Table): Columns {
  const { names, rows, numberOf, where } = table;
  const grouped = groupsOf(table);
  const { groups, unfit, twice } = grouped;
  if (twice !== undefined) throw failure(table, `column ${twice} appears twice`, 'Rename or delete one of them.');
  const warnings: string[] = [];
  if (unfit.length > 0) {
    warnings.push(`${where}: skipped ${unfit.map(({ name, why }) => `${shown(name)} (${why})`).join(', ')}.`);
  }
  const candidates = groups.map((group) => candidateOf(table, group));
  const magnetometer = chooseSensor('magnetometer', table, grouped, candidates, warnings);
  // The magnetometer's own board goes before another.
  const accelerometer = chooseSensor('accelerometer', table, grouped, candidates, warnings, magnetometer?.group.label);
  const gyro = chooseSensor('gyro', table, grouped, candidates, warnings, magnetometer?.group.label);
  if (accelerometer === undefined && magnetometer === undefined) throw noSensor(table, warnings);
  if (table.wanted !== undefined && !groups.some((group) => isWanted(group, table.wanted))) {
    throw failure(
      table,
      `no sensor's columns hold the word "${shown(table.wanted)}"`,
      `Give --sensor a word of one of these: ${groups.map((group) => shown(group.names[0])).join(', ')}.`,
    );
  }
  const { time, doubt } = findTime(names, rows, numberOf);
  if (doubt !== undefined && time === undefined) {
    warnings.push(`${where}: the time is not used: ${doubt}; name it t_s, t_ms, t_us or t_ns, or give --rate.`);
  }
  const temperature = temperatureAmong(table);
  const used = [time?.at, time?.fraction?.at, temperature?.at];
  for (const chosen of [accelerometer, magnetometer, gyro]) used.push(...(chosen?.group.at ?? []));
  return {
    time,
    accelerometer: accelerometer && tripleOf(accelerometer),
    magnetometer: magnetometer && tripleOf(magnetometer),
    gyro: gyro && tripleOf(gyro),
    temperature,
    others: names.filter((name, at) => name !== '' && !used.includes(at)),
    warnings,
  };
}

/** The first that fits of one kind, or the one that is wanted; what is skipped joins `warnings`. */
function chooseSensor(
  sensor: Sensor,
  table: Table,
  { groups, partial }: Groups,
  candidates: readonly Candidate[],
  warnings: string[],
  label?: string,
): Candidate | undefined {
  const { where, wanted } = table;
  const all = candidates.filter(({ group }) => group.sensor === sensor);
  const fits = all.filter((candidate) => isFit(candidate));
  for (const candidate of all) {
    const why = fits.includes(candidate) ? undefined : whyUnfit(candidate);
    if (why !== undefined) warnings.push(`${where}: ${why}`);
  }
  const part = partial.find((each) => each.sensor === sensor);
  if (all.length === 0 && part) {
    if (part.isOwn || groups.length === 0) throw failure(table, part.what, `${part.whatToDo}: ${examples[sensor]}.`);
    warnings.push(`${where}: the ${sensor} is skipped: ${shown(part.what, 80)}.`);
  }
  const asked = fits.filter(({ group }) => isWanted(group, wanted));
  const rank = ({ group }: Candidate): number => group.rank + (label !== undefined && group.label !== label ? 5000 : 0);
  const [chosen, ...left] = [...(asked.length > 0 ? asked : fits)].sort((a, b) => rank(a) - rank(b));
  if (asked.length === 0 && left.length > 0 && sensor !== 'gyro') {
    const others = left.map(({ group }) => shown(group.names[0])).join(', ');
    warnings.push(
      `${where}: several sensors of one kind: took the ${sensor} ${shown(chosen.group.names[0])}, not ${others}; --sensor WORD takes the one whose names hold that word.`,
    );
  }
  return chosen;
}

const tripleOf = ({ group, scale, isGuess }: Candidate): Triple => ({
  at: group.at,
  names: group.names,
  signs: group.names.map((name) => (name.startsWith('-') ? -1 : 1)) as [number, number, number],
  isGuess,
  ...scale!,
});

const failure = ({ where }: Table, what: string, whatToDo: string): Failure =>
  new Failure(exitCode.badData, `${where}: ${printable(what)}`, printable(whatToDo));

function noSensor(table: Table, warnings: readonly string[]): Failure {
  const { names, where } = table;
  const mixed = mixedRows(table);
  return failure(
    table,
    `no column of an accelerometer or a magnetometer among "${shown(names.slice(0, 16).join(','), 200)}"`,
    [
      ...(mixed === undefined ? [] : [mixed]),
      ...warnings.map((warning) => warning.slice(where.length + 2).replace(/^./, (letter) => letter.toUpperCase())),
      'Name the columns in the first line: ax_g,ay_g,az_g,mx_ut,my_ut,mz_ut (or _raw in place of a unit), or give their names in order with --columns.',
    ].join(' '),
  );
}

const isWanted = ({ names }: Group, word: string | undefined): boolean =>
  word !== undefined && names[0].toLowerCase().includes(word.toLowerCase());

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

/** Words for a file whose rows belong to several sensors by turns, as a column says; undefined where they do not. */
function mixedRows({ names, rows }: Table): string | undefined {
  for (const [at, name] of names.entries()) {
    const values = [...new Set(rows.map((row) => row[at] ?? ''))];
    if (values.length > 30) continue;
    const sensors = values.filter((value) => readName(`${value} x`, 0)?.sensor !== undefined && !/^\W*$/.test(value));
    if (sensors.length < 2) continue;
    const [first, second] = sensors.map((value) => `"${shown(value)}"`);
    return `The rows are of several sensors by turns: column ${shown(name)} holds ${first} and ${second}. Write the readings of one instant in one row, each sensor in columns of its own.`;
  }
  return undefined;
}
