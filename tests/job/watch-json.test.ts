import type { ChildProcessWithoutNullStreams } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { farOffSigmas } from '../pages/honest.ts';
import { runHere } from './inProcess.ts';
import { bundled, fromSources, start } from './lodepole.ts';
import { patience, quickest } from './patience.ts';

const home = mkdtempSync(join(tmpdir(), 'lodepole-watch-'));
afterAll(() => rmSync(home, { recursive: true }));

interface Ran {
  code: number | null;
  lines: string[];
  errors: string;
  /** Time from the start to each line of stdout, seconds. */
  atS: number[];
}

/** Runs to the end; `onLine` may kill. */
function run(
  options: string[],
  onLine: (child: ChildProcessWithoutNullStreams, lines: number) => void = () => {},
  entry = bundled,
): Promise<Ran> {
  return new Promise((resolve) => {
    const child = start(home, options, entry);
    const started = performance.now();
    const ran: Ran = { code: null, lines: [], errors: '', atS: [] };
    let rest = '';
    child.stderr.on('data', (text: Buffer) => (ran.errors += text.toString()));
    child.stdout.on('data', (text: Buffer) => {
      const lines = (rest + text.toString()).split('\n');
      rest = lines.pop() ?? '';
      for (const line of lines) {
        ran.lines.push(line);
        ran.atS.push((performance.now() - started) / 1000);
        onLine(child, ran.lines.length);
      }
    });
    child.on('close', (code) => resolve({ ...ran, code }));
  });
}

interface Row {
  [key: string]: unknown;
  truth: Record<string, number>;
}

const named = ['altitudeErrorDeg', 'azimuthErrorDeg', 'distanceDeg'] as const;
const sigmaOf = (key: string): string => `sigma${key[0].toUpperCase()}${key.slice(1)}`;

describe.concurrent.each([
  ['orchard', fromSources],
  ['woolshed', bundled],
])('watch --json with the real image in scene %s', (scene, entry) => {
  it('gives at least ten honest estimates a second within 15 s, and ends by itself', async () => {
    const slower = patience();
    // an emulated processor that gets no time is late with its samples, and the first second of these is motion
    const seconds = String(6 * Math.min(Math.max(slower / 2, 1), 2));
    const { code, lines, atS, errors } = await run(
      ['--json', '--seconds', seconds, '--virtual', scene],
      undefined,
      entry,
    );
    expect(code).toBe(0);
    const rows = lines.map((line) => JSON.parse(line) as Row);
    expect(Object.keys(rows[0])[0]).toBe('schema');
    expect(rows[0].schema).toBe(1);
    expect(atS[0]).toBeLessThan(15 * slower);
    const spanS = (Date.parse(rows.at(-1)?.timeUtc as string) - Date.parse(rows[0].timeUtc as string)) / 1000;
    expect((rows.length - 1) / spanS).toBeGreaterThan(10 / slower);
    for (const row of rows) {
      expect(row.kind).toBe('needles');
      expect(row.source).toContain('virtual');
      expect(['moving', 'still', 'disturbed', 'stale']).toContain(row.state);
      for (const key of named) {
        const off = Math.abs((row[key] as number) - row.truth[key]);
        expect(off).toBeLessThan(farOffSigmas * (row[sigmaOf(key)] as number));
      }
    }
    const stillRows = rows.filter(({ state }) => state === 'still').length;
    expect(stillRows).toBeGreaterThan(rows.length / (2 * slower));
    // the virtual board is told apart from a real one, and its calibration is no gift
    expect(errors).toMatch(/invented/);
    expect(errors).toMatch(/rehearsal/);
  });
});

describe('endings', () => {
  it('SIGINT ends within half a second with 130', async () => {
    const limitMs = 500;
    const tookMs = await quickest(limitMs, async () => {
      let killedMs = 0;
      const stopAt20 = (child: ChildProcessWithoutNullStreams, count: number): void => {
        if (count !== 20) return;
        killedMs = performance.now();
        child.kill('SIGINT');
      };
      const { code } = await run(['--json', '--virtual', 'orchard', '--fast'], stopAt20);
      expect(code).toBe(130);
      return performance.now() - killedMs;
    });
    expect(tookMs).toBeLessThan(limitMs);
  });

  it('a reader that has seen enough is no error', async () => {
    const { code, errors } = await run(['--json', '--virtual', 'orchard', '--fast'], (child, count) => {
      if (count === 5) child.stdout.destroy();
    });
    expect(code).toBe(0);
    expect(errors).not.toContain('EPIPE');
  });

  it.each([
    [['--virtual', 'nowhere'], 64, /There is no scene "nowhere"/],
    [['--port', '/dev/lodepole-is-not-here'], 69, /is not there/],
    [['--json', '--lat', '47', '--virtual', 'orchard'], 64, /Give both/],
    [['--json', '--virtual', 'orchard', '--fast', '--record', '/nowhere/at/all'], 74, /cannot be written/],
  ])('%j fails with %d and says why, on stderr alone', async (options, expected, words) => {
    const { code, stdout, stderr } = await runHere(home, options);
    expect(stderr).toMatch(words);
    expect(stderr).not.toMatch(/at .*\.ts:\d+/);
    expect(code).toBe(expected);
    expect(stdout).toBe('');
  });
});

it('records what it reads, hello and site in the head', async () => {
  const file = join(home, 'tonight.capture');
  const { code } = await run(['--json', '--virtual', 'woolshed', '--fast', '--seconds', '1.5', '--record', file]);
  expect(code).toBe(0);
  const kept = readFileSync(file, 'latin1').split('\n');
  expect(kept.some((line) => line.startsWith('# hello H proto=1'))).toBe(true);
  expect(kept.some((line) => line.startsWith('# site '))).toBe(true);
  expect(kept.filter((line) => / S \d+ /.test(line)).length).toBeGreaterThan(50);
});
