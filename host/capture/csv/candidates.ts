import { accelerationUnit, fieldUnit, magnitudeOf, type Magnitude } from './magnitude.ts';
import type { Table } from './columns.ts';
import type { Group } from './groups.ts';
import { shown } from './shown.ts';
import { unitNamed, unitsRead, type Scale, type Sensor } from './unitNames.ts';

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

/** Why three columns that are named like a sensor's are passed over; undefined where nobody misses them. */
export function whyUnfit(candidate: Candidate): string | undefined {
  const { group, magnitude, scale } = candidate;
  // Only a replay needs rates, and it does without.
  if (group.sensor === 'gyro' && (group.unit === undefined || scale !== undefined)) return undefined;
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
