import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { orientations, sealLine } from '../../firmware-proto/wire.ts';
import { have } from './tools.ts';

const folder = mkdtempSync(join(tmpdir(), 'lodepole-codec-'));
afterAll(() => rmSync(folder, { recursive: true }));

/** firmware-proto/vectors.txt: CRCs from Python's binascii.crc_hqx, see its head. */
const vectors = readFileSync(new URL('../../firmware-proto/vectors.txt', import.meta.url), 'latin1')
  .split('\n')
  .filter((line) => /^(crc|line|request)\t/.test(line));

describe.skipIf(!have('g++', 'the codec of the board is not compared with the one of the host'))(
  'the codec of the board, compiled for the host',
  () => {
    let program: string;
    const run = (lines: readonly string[]): string[] => {
      const { stdout, status } = spawnSync(program, { input: lines.join('\n'), encoding: 'latin1' });
      expect(status).toBe(0);
      return stdout.trimEnd().split('\n');
    };

    beforeAll(() => {
      const root = new URL('../../', import.meta.url).pathname;
      const sources = [
        'tests/unit/board-codec.cpp',
        ...['axes', 'events', 'line', 'request'].map((name) => `firmware-proto/board/src/${name}.cpp`),
      ];
      program = join(folder, 'codec');
      const { status, stderr } = spawnSync(
        'g++',
        ['-std=c++11', '-O1', '-Wall', '-Wextra', '-Werror', '-fsanitize=undefined', '-o', program, ...sources],
        { cwd: root, encoding: 'utf8' },
      );
      expect(stderr).toBe('');
      expect(status).toBe(0);
    }, 60_000);

    test('gives every line of the vectors', () => {
      expect(vectors.length).toBeGreaterThan(80);
      expect(run(vectors)).toEqual(vectors);
    });

    test('says the same as the codec of the host', () => {
      const bodies = Array.from({ length: 2000 }, (_, i) => {
        const value = (j: number): number => (Math.imul(i * 7 + j, 0x9e3779b1) >>> (i % 16)) - (j % 2 ? 2 ** 15 : 0);
        return `S ${i % 65536} ${value(0) >>> 0} ${[1, 3, 5, 7].map((j) => value(j) | 0).join(' ')}`;
      });
      const lines = run(bodies.map((body) => `line\t${body}\t`));
      expect(lines).toEqual(bodies.map((body) => `line\t${body}\t${sealLine(body).trimEnd()}`));
    });

    test('tells each event once, with its count since start-up', () => {
      expect(run(['events'])).toEqual(['bus-stuck 1', 'late 5'].map((event) => sealLine(`E ${event}`).trimEnd()));
    });

    test('takes the orientations that the host takes, and no others', () => {
      const [all] = run(['axes']);
      expect(all.trim().split(' ').sort()).toEqual([...orientations].sort());
    });

    test('its queue keeps whole lines in order and refuses what does not fit', () => {
      expect(run(['queue\t1', 'queue\t300'])).toEqual(['same none refused', 'same some refused']);
    });

    test('leaves out a line that is longer than the wire allows', () => {
      // 240 bytes with " *CRC", CR and LF: 232 before them.
      expect(run(['overflow\t232', 'overflow\t233'])).toEqual(['overflow\t232\t240', 'overflow\t233\t0']);
    });
  },
);
