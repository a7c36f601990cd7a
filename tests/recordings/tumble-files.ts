import { readFileSync } from 'node:fs';
import { normalise, type Vector3 } from '../../calibration/vector.ts';
import type { TumbleSample } from '../../calibration/tumble/types.ts';

const folder = new URL('data/', import.meta.url);

export interface RecordedTable {
  has(name: string): boolean;
  column(name: string): number[];
  /** Words as they stand. */
  text(name: string): string[];
  rows: number;
}

/** One recording out of tests/recordings/data (sources and licences: PROVENANCE.json there); an empty field is NaN. */
export function readTable(file: string): RecordedTable {
  const lines = readFileSync(new URL(file, folder), 'utf8')
    .split('\n')
    .filter((line) => line !== '' && !line.startsWith('#'));
  const header = lines[0].split(',');
  const cells = lines.slice(1).map((line) => line.split(','));
  const text = (name: string): string[] => {
    const at = header.indexOf(name);
    if (at < 0) throw new Error(`${file} has no column ${name}`);
    return cells.map((row) => row[at]);
  };
  return {
    has: (name) => header.includes(name),
    text,
    column: (name) => text(name).map((word) => (word === '' ? NaN : Number(word))),
    rows: cells.length,
  };
}

const triples = (table: RecordedTable, names: string[], factor: number): Vector3[] => {
  const [x, y, z] = names.map((name) => table.column(name));
  return x.map((_, i) => [x[i] * factor, y[i] * factor, z[i] * factor]);
};

/** Microtesla columns come back in nT. */
export function readSamples(table: RecordedTable): TumbleSample[] {
  const accel = triples(table, ['ax_g', 'ay_g', 'az_g'], 1);
  const field = triples(table, ['mx_ut', 'my_ut', 'mz_ut'], 1000);
  const time = table.has('t_s') ? table.column('t_s') : undefined;
  return accel.map((accelG, i) => ({ accelG, fieldNt: field[i], boardS: time?.[i] }));
}

export const readVectors = (table: RecordedTable, sensor: 'a' | 'm'): { vectors: Vector3[]; rawScale: boolean } => {
  const rawScale = table.has(`${sensor}x_raw`);
  const unit = rawScale ? 'raw' : sensor === 'a' ? 'g' : 'ut';
  const factor = unit === 'ut' ? 1000 : 1;
  return {
    vectors: triples(
      table,
      ['x', 'y', 'z'].map((axis) => `${sensor}${axis}_${unit}`),
      factor,
    ),
    rawScale,
  };
};

export const shotFiles = [
  'bm1422-shots-ab.csv',
  'bm1422-shots-ai.csv',
  'bm1422-shots-bh.csv',
  'bm1422-shots-bi.csv',
  'bm1422-shots-ee.csv',
  'bm1422-shots-fb.csv',
  'rm3100-shots-bb.csv',
  'rm3100-shots-cf.csv',
  'rm3100-shots-hc.csv',
  'rm3100-shots-hc-improved.csv',
];

/** North (magnetic), east and down in the frame of `up` and `field`. */
export function worldAxes(up: Vector3, field: Vector3): [Vector3, Vector3, Vector3] {
  const cross = (a: Vector3, b: Vector3): Vector3 => [
    a[1] * b[2] - a[2] * b[1],
    a[2] * b[0] - a[0] * b[2],
    a[0] * b[1] - a[1] * b[0],
  ];
  const down = normalise([-up[0], -up[1], -up[2]]);
  const east = normalise(cross(down, field));
  return [cross(east, down), east, down];
}

export const median = (values: number[]): number => {
  const sorted = [...values].sort((a, b) => a - b);
  const middle = sorted.length / 2;
  return sorted.length % 2 === 1 ? sorted[Math.floor(middle)] : (sorted[middle - 1] + sorted[middle]) / 2;
};

/** Standard deviation of angles about their mean direction, radians. */
export function angularDeviation(angles: number[]): number {
  const sine = angles.reduce((sum, angle) => sum + Math.sin(angle), 0);
  const cosine = angles.reduce((sum, angle) => sum + Math.cos(angle), 0);
  const mean = Math.atan2(sine, cosine);
  const squared = angles.reduce((sum, angle) => {
    const off = Math.atan2(Math.sin(angle - mean), Math.cos(angle - mean));
    return sum + off * off;
  }, 0);
  return Math.sqrt(squared / (angles.length - 1));
}
