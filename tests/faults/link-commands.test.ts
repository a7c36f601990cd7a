import { spawnSync } from 'node:child_process';
import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { CaptureWriter } from '../../host/capture/captureWriter.ts';
import { encodeAcknowledged, encodeSelfTestRow } from '../../firmware-proto/wire.ts';
import { degree } from '../../calibration/angle.ts';
import { run, runOnBoard, type Ran } from '../job/lodepole.ts';
import { FarEnd, soundVoice, testHello, testSample } from './link-farEnd.ts';

const hasSocat = spawnSync('socat', ['-V']).status === 0;
if (!hasSocat) console.log('SKIPPED: lodepole board on a pseudo-terminal needs socat (Debian package socat)');

let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'lodepole-commands-'));
});
afterAll(() => rm(folder, { recursive: true, force: true }));

const lodepole = (...words: string[]): Promise<Ran> => run(join(folder, 'home'), words);
const onBoard = (...words: string[]): Promise<Ran> => runOnBoard(join(folder, 'home'), words);

describe('lodepole board', () => {
  test.skipIf(!hasSocat)('tells hello and self-test, remembers the port, and says how to flash', async () => {
    const farEnd = await FarEnd.create();
    const { onTick } = soundVoice();
    let verdict = true;
    farEnd.voice = {
      onTick,
      onRequest: (text) =>
        soundVoice().onRequest(text) +
        (text.includes('selftest')
          ? encodeSelfTestRow({ name: 'accel-id', passed: verdict, value: 51, low: 51, high: 51 }) +
            encodeAcknowledged({ request: 'selftest' })
          : ''),
    };
    await farEnd.plug();
    try {
      const good = await onBoard('board', '--port', farEnd.path, '--json');
      expect(good.code).toBe(0);
      const told: unknown = JSON.parse(good.stdout);
      expect(Object.keys(told as object)[0]).toBe('schema');
      expect(told).toMatchObject({
        schema: 1,
        board: { boardId: testHello.boardId, firmware: '0.1.0', port: farEnd.path, rateHz: 100 },
        selfTest: [{ name: 'accel-id', passed: true, value: 51, low: 51, high: 51 }],
        flashCommand: expect.stringMatching(/^avrdude .*-p atmega328p .*\.hex:i$/),
      });
      const kept = await readFile(join(folder, 'home', 'board.json'), 'utf8');
      expect(JSON.parse(kept)).toEqual({ schema: 1, boardId: testHello.boardId, path: farEnd.path });
      verdict = false;
      const failing = await onBoard('board', '--port', farEnd.path);
      expect(failing.code).toBe(1);
      expect(failing.stdout).toMatch(/FAIL {2}accel-id: 51 \(from 51 to 51\)/);
    } finally {
      await farEnd.remove();
    }
  });

  test('a port that is not there: exit 69, why, and what to do', async () => {
    const { code, stdout, stderr } = await lodepole('board', '--port', join(folder, 'nothing'));
    expect(code).toBe(69);
    expect(stderr).toContain('is not there');
    expect(stdout).toBe('');
  });
});

describe('lodepole replay', () => {
  const site = { latitudeRad: 47.26 * degree, longitudeRad: -112.5 * degree, elevationM: 500 };

  test('a capture through the live path: twenty needles for each second of it', async () => {
    const path = join(folder, 'night.capture');
    const writer = await CaptureWriter.create(
      path,
      { source: 'board 3F2A91C4', hello: testHello, site, startedUtcMs: 0 },
      expect.fail,
    );
    for (let n = 0; n < 1000; n += 1) writer.keep({ line: testSample(n), arrivalS: n / 100 });
    await writer.close();
    const { code, stdout, stderr } = await lodepole('replay', path, '--fast', '--json');
    expect(code, stderr).toBe(0);
    const lines = stdout
      .trim()
      .split('\n')
      .map((line) => JSON.parse(line) as Record<string, unknown>);
    expect(lines.length).toBeGreaterThan(190);
    expect(lines.length).toBeLessThan(220);
    expect(Object.keys(lines[0])[0]).toBe('schema');
    expect(lines.at(-1)).toMatchObject({ kind: 'needles', source: `recording ${path}` });
    expect(lines.at(-1)).not.toHaveProperty('truth');
    for (const key of [
      'altitudeErrorDeg',
      'azimuthErrorDeg',
      'distanceDeg',
      'sigmaAltitudeErrorDeg',
      'sigmaDistanceDeg',
    ])
      expect(lines.at(-1)?.[key]).toEqual(expect.any(Number));
  });

  test('bad data in the middle: exit 65, line and column', async () => {
    const path = join(folder, 'bad.csv');
    const rows = Array.from({ length: 600 }, (_, n) => `${n / 100},0.01,0.02,0.99,20,-3,${n === 500 ? 'NaN' : 41}\n`);
    await writeFile(path, `t_s,ax_g,ay_g,az_g,mx_ut,my_ut,mz_ut\n${rows.join('')}`);
    const { code, stderr } = await lodepole('replay', path, '--fast', '--json', '--lat', '47.26', '--lon', '-112.5');
    expect(code).toBe(65);
    expect(stderr).toContain('line 502, column mz_ut holds "NaN"');
  });

  test('without a site: exit 64; without the file: exit 74', async () => {
    const path = join(folder, 'siteless.csv');
    await writeFile(path, 't_s,ax_g,ay_g,az_g,mx_ut,my_ut,mz_ut\n0,0,0,1,20,0,40\n');
    const [siteless, missing] = await Promise.all([
      lodepole('replay', path),
      lodepole('replay', join(folder, 'nothing')),
    ]);
    expect(siteless.code).toBe(64);
    expect(siteless.stderr).toContain('--lat');
    expect(missing.code).toBe(74);
  });
});
