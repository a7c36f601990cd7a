// Static shots of a real board as CSV, as somebody with a logger would use them: tumble on sixteen, swing on the eight others.
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { run } from './lodepole.ts';

const home = mkdtempSync(join(tmpdir(), 'lodepole-shots-'));
afterAll(() => rmSync(home, { recursive: true }));

async function lodepole(...words: string[]): Promise<{ code: number | null; json: Record<string, unknown> }> {
  const { code, stdout } = await run(home, [...words, '--json']);
  return { code, json: JSON.parse(stdout) };
}

const shots = readFileSync(new URL('../recordings/data/bm1422-shots-ee.csv', import.meta.url), 'utf8')
  .trim()
  .split('\n')
  .filter((line) => !line.startsWith('#'))
  .slice(1)
  .map((line) => line.split(','));

/** The six readings of some shots; with `everyS` also a time, one shot each so many seconds. */
function write(name: string, keep: (group: string) => boolean, everyS?: number): string {
  const rows = shots
    .filter((cells) => keep(cells[7]))
    .map((cells, i) => [...(everyS === undefined ? [] : [String(i * everyS)]), ...cells.slice(0, 6)].join(','));
  const path = join(home, name);
  writeFileSync(path, `${everyS === undefined ? '' : 't_s,'}ax_g,ay_g,az_g,mx_ut,my_ut,mz_ut\n${rows.join('\n')}\n`);
  return path;
}

describe.each([
  ['without a time', undefined],
  ['with the time of each shot', 6],
  ['with a time once a second', 1],
])('shots of a real board, %s', (name, everyS) => {
  it('give a calibration from sixteen and the axis from the eight others', async () => {
    const out = join(home, `${name}.json`);
    const sixteen = write(`${name}-16.csv`, (group) => group !== '1', everyS);
    const tumble = await lodepole('tumble', '--from', sixteen, '--out', out);
    expect(tumble.code).toBe(0);
    expect(tumble.json).toMatchObject({ accepted: true, samplesUsed: 16 });

    const eight = write(`${name}-8.csv`, (group) => group === '1', everyS);
    const swing = await lodepole('swing', '--from', eight, '--calibration', out);
    expect(swing.code).toBe(0);
    expect(swing.json).toMatchObject({ accepted: true, dwells: 8 });
    expect(swing.json.spreadAzimuthDeg).toBeLessThan(0.6);
    const axis = swing.json.axisInBoard as number[];
    expect(axis[1]).toBeGreaterThan(0.99);
    expect(Object.keys(swing.json)).toEqual(expect.arrayContaining(['spreadDeg', 'arcDeg', 'misfit']));
  });
});
