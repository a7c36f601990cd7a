import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { PassThrough } from 'node:stream';
import { afterAll, describe, expect, test, vi } from 'vitest';
import { apply, transpose, type Vector3 } from '../../calibration/vector.ts';
import { ImageBoard } from '../../firmware-proto/virtual/imageBoard.ts';
import { orientationMatrix } from '../../firmware-proto/wire.ts';
import { runAxes } from '../../host/commands/runAxes.ts';
import { virtualCandidate } from '../../host/link/virtualPort.ts';
import { only, runImage, stillWorld } from './board-run.ts';
import { run } from './lodepole.ts';

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

describe('board --axes', () => {
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
    let clock: NodeJS.Timeout | undefined;
    // as fast as it goes, and nothing is on its way when the pose changes
    board.start = () => void (clock ??= setInterval(() => board.stepTo(board.nowS + 0.05), 1));
    const typed = new PassThrough();
    const printed = { stdout: '', stderr: '' };
    const caught = (['stdout', 'stderr'] as const).map((stream) =>
      vi.spyOn(process[stream], 'write').mockImplementation((text) => {
        printed[stream] += String(text);
        const number = stream === 'stderr' && /(\d) of 5\./.exec(String(text))?.[1];
        if (number) {
          pose = poses[Number(number) - 1];
          typed.write('\n');
        }
        return true;
      }),
    );
    try {
      const code = await runAxes(
        { json: true },
        { candidates: () => Promise.resolve([virtualCandidate('board', board)]), typed },
      );
      expect(printed.stderr).toContain('Turn it until X points to magnetic north');
      expect(JSON.parse(printed.stdout)).toMatchObject({
        schema: 1,
        accepted: true,
        kept: 'kept',
        accelerometer: { state: 'turned', orientation: '-Y+X+Z' },
        magnetometer: { state: 'turned', orientation: '+X-Y-Z' },
      });
      expect(code).toBe(0);
    } finally {
      for (const spy of caught) spy.mockRestore();
      clearInterval(clock);
    }
    const { run: step } = runImage({ eeprom: board.eeprom });
    expect(only(step(0.1), 'hello')[0]).toMatchObject({
      accelerometer: { orientation: '-Y+X+Z' },
      magnetometer: { orientation: '+X-Y-Z' },
    });
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
