import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Random } from '../../firmware-proto/virtual/random.ts';
import type { RecordedSample, Recording } from '../../host/capture/recorded.ts';
import { openQuietly } from '../../host/capture/recording.ts';
import type { CsvOptions } from '../../host/capture/csv/options.ts';

/** What a board read: g, microtesla, degrees a second, seconds, degrees Celsius. */
export interface Reading {
  t: number;
  a: [number, number, number];
  m: [number, number, number];
  g: [number, number, number];
  c: number;
}

/** A board turned over, a hundred readings at 100 a second. */
export function readings(count = 100, seed = 7): Reading[] {
  const random = new Random(seed);
  const scaled = (v: number[], by: number, off: number[]): [number, number, number] =>
    v.map((x, i) => Number((x * by + off[i]).toFixed(6))) as [number, number, number];
  return Array.from({ length: count }, (_, i) => ({
    t: Number((i / 100).toFixed(2)),
    a: scaled(random.direction(), 1, [0.012, -0.008, 0.021]),
    m: scaled(random.direction(), 48, [3.2, -4.1, 2.7]),
    g: scaled(random.direction(), 40, [0.3, 0.2, -0.1]),
    c: 21.5,
  }));
}

/** A cell by its code: `t*1e3`, `ax*9.80665`, `mx/100+1.5e9`, `7` or any word for what is skipped. */
export function cell(coded: string, reading: Reading, row: number): string {
  const [, before = '', code] = /^(.*(?:: |= |-> ))?(.*)$/.exec(coded)!;
  return `${before}${bareCell(code, reading, row)}`;
}

function bareCell(code: string, reading: Reading, row: number): string {
  const [, what, axis, by = '1', off = '0', places] =
    /^(t|c|[amg])([xyz]?)(?:\*([\d.e+-]+?))?(?:\+([\d.e]+))?(?::(\d+))?$/.exec(code) ?? [];
  if (what === undefined || (what.length === 1 && 'amg'.includes(what) && axis === ''))
    return code === 'row' ? String(row) : code;
  const value = axis === '' ? reading[what as 't' | 'c'] : reading[what as 'a' | 'm' | 'g']['xyz'.indexOf(axis)];
  const number = value * Number(by) + Number(off);
  return places === undefined ? String(Number(number.toPrecision(12))) : number.toFixed(Number(places));
}

/** A table of cells by their codes, parted by `delimiter`. */
export const rowsOf = (codes: readonly string[], all: readonly Reading[], delimiter = ','): string =>
  all.map((reading, row) => codes.map((code) => cell(code, reading, row)).join(delimiter)).join('\n') + '\n';

export class CsvFolder {
  private folder = '';
  private files = 0;

  async open(): Promise<void> {
    this.folder = await mkdtemp(join(tmpdir(), 'lodepole-csv-'));
  }

  close(): Promise<void> {
    return rm(this.folder, { recursive: true, force: true });
  }

  async write(content: string | Buffer, name = 'data.csv'): Promise<string> {
    this.files += 1;
    const path = join(this.folder, `${this.files}-${name}`);
    await writeFile(path, content);
    return path;
  }

  async read(
    content: string | Buffer,
    { name, ...options }: CsvOptions & { name?: string } = {},
  ): Promise<{ recording: Recording; samples: RecordedSample[] }> {
    const recording = await openQuietly(await this.write(content, name), options);
    const samples: RecordedSample[] = [];
    for await (const sample of recording.samples) samples.push(sample);
    return { recording, samples };
  }
}
