// The level as a newcomer tries it first: the hands of both virtual boards, with no calibration and no seed named.
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { apply } from '../../calibration/vector.ts';
import { createWorld } from '../../firmware-proto/virtual/world.ts';
import { farOffSigmas } from '../pages/honest.ts';
import { run } from './lodepole.ts';

let home = '';
beforeAll(async () => {
  home = await mkdtemp(join(tmpdir(), 'lodepole-level-'));
});
afterAll(() => rm(home, { recursive: true }));

it.concurrent.each(['orchard', 'woolshed'] as const)(
  'level --virtual %s measures the tilt of its base',
  async (scene) => {
    const { code, stdout } = await run(home, ['level', '--virtual', scene, '--json']);
    const { northHighDeg, eastHighDeg, sigmaTiltDeg } = JSON.parse(stdout) as Record<string, number>;
    // truth: the base's vertical in north-east-down leans away from the side that is high
    const [north, east] = apply(createWorld(scene, { seed: 1 }).mount.tilt, [0, 0, -1]);
    expect(code).toBe(0);
    expect(Math.abs(northHighDeg + Math.asin(north) / degree)).toBeLessThan(farOffSigmas * sigmaTiltDeg);
    expect(Math.abs(eastHighDeg + Math.asin(east) / degree)).toBeLessThan(farOffSigmas * sigmaTiltDeg);
  },
);
