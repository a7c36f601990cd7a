import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, test } from 'vitest';
import { apply, transpose, type Vector3 } from '../../calibration/vector.ts';
import { ImageBoard } from '../../firmware-proto/virtual/imageBoard.ts';
import { openPseudoTerminal } from '../../firmware-proto/virtual/pseudoTerminal.ts';
import { orientationMatrix } from '../../firmware-proto/wire.ts';
import { have } from '../unit/tools.ts';
import { only, runImage, stillWorld } from './board-run.ts';
import { endOf, run, start } from './lodepole.ts';

const folder = mkdtempSync(join(tmpdir(), 'lodepole-axes-'));
afterAll(() => rmSync(folder, { recursive: true }));

/** Which way up and which way round the board is in each pose: what it reads in its own axes, counts of 0.98 mg and 150 nT. */
const poses: readonly { accel: Vector3; field: Vector3 }[] = [
  { accel: [0, 0, 1020], field: [60, 110, -290] },
  { accel: [1020, 0, 0], field: [-290, 70, 90] },
  { accel: [0, 1020, 0], field: [80, -290, 60] },
  { accel: [0, 0, 1020], field: [130, 10, -290] },
  { accel: [0, 0, 1020], field: [-10, 130, -290] },
];

describe.skipIf(!have('socat', 'the check of the axes is not driven as a program'))('board --axes', () => {
  test('leads through five poses, and sets and keeps how the chips sit', async () => {
    let pose = poses[0];
    const inChip = (vector: Vector3, sits: '-Y+X+Z' | '+X-Y-Z'): [number, number, number] => {
      const [x, y, z] = apply(transpose(orientationMatrix(sits)), vector);
      return [x, y, z];
    };
    const board = new ImageBoard({
      ...stillWorld,
      countsAt: () => ({
        accel: inChip(pose.accel, '-Y+X+Z'),
        field: inChip(pose.field, '+X-Y-Z'),
        temperature: 0,
      }),
    });
    board.start();
    const terminal = await openPseudoTerminal(join(folder, 'board'), board);
    try {
      const child = start(folder, ['board', '--axes', '--port', terminal.path, '--json']);
      const ended = endOf(child);
      let said = '';
      let answered = 0;
      child.stderr.on('data', (bytes: Buffer) => {
        said += bytes.toString();
        const asked = [...said.matchAll(/(\d) of 5\./g)];
        for (const [, number] of asked.slice(answered)) {
          pose = poses[Number(number) - 1];
          setTimeout(() => child.stdin.write('\n'), 300); // the reading before may still be on its way
        }
        answered = asked.length;
      });
      const { code, stdout, stderr } = await ended;
      expect(stderr).toContain('Turn it until X points to magnetic north');
      expect(JSON.parse(stdout)).toMatchObject({
        schema: 1,
        accepted: true,
        kept: 'kept',
        accelerometer: { state: 'turned', orientation: '-Y+X+Z' },
        magnetometer: { state: 'turned', orientation: '+X-Y-Z' },
      });
      expect(code).toBe(0);
      const { run: step } = runImage({ eeprom: board.eeprom });
      expect(only(step(0.1), 'hello')[0]).toMatchObject({
        accelerometer: { orientation: '-Y+X+Z' },
        magnetometer: { orientation: '+X-Y-Z' },
      });
    } finally {
      await terminal.close();
      await board.close();
    }
  });
});

describe('board --flash', () => {
  test('refuses a folder that is no drive of a board', async () => {
    const refused = await run(folder, ['board', '--flash', '--drive', folder]);
    expect(refused.code).toBe(1);
    expect(refused.stderr).toContain('is not the drive of a board. Nothing was written.');
  });
});

test('board --udev print shows the rule that the repository holds, with the boards of this version in it', async () => {
  const { code, stdout } = await run(folder, ['board', '--udev', 'print']);
  expect(code).toBe(0);
  const rule = new URL('../../firmware-proto/60-lodepole.rules', import.meta.url);
  expect(existsSync(rule)).toBe(true);
  expect(stdout.trim()).toBe(readFileSync(rule, 'utf8').trim());
  for (const product of ['2e8a', '0d28']) expect(stdout).toContain(`ATTRS{idVendor}=="${product}"`);
});
