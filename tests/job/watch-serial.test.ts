import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { ImageBoard } from '../../firmware-proto/virtual/imageBoard.ts';
import { openPseudoTerminal } from '../../firmware-proto/virtual/pseudoTerminal.ts';
import { scenes } from '../../firmware-proto/virtual/scenes.ts';
import { createWorld } from '../../firmware-proto/virtual/world.ts';
import { exitCode } from '../../host/failure.ts';
import type { LiveSession, Needles } from '../../host/live/session.ts';
import { rehearseFast } from '../../host/live/rehearseFast.ts';
import { saveSwing } from '../../host/store/profile.ts';
import { farOffSigmas } from '../pages/honest.ts';
import { opened } from './opened.ts';
import { quickest } from './patience.ts';

const hasSocat = spawnSync('socat', ['-V']).status === 0;
if (!hasSocat) console.log('SKIPPED: needles over a pseudo-terminal need socat (Debian package socat).');

const folder = mkdtempSync(join(tmpdir(), 'lodepole-serial-'));
const link = join(folder, 'board');
const site = scenes.orchard.place;
const seed = 4;
const pause = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms));

async function until(what: string, holds: () => boolean, seconds = 30): Promise<number> {
  const startMs = performance.now();
  while (!holds()) {
    if (performance.now() - startMs > seconds * 1000) throw new Error(`${what}: not within ${seconds} s`);
    await pause(10);
  }
  return (performance.now() - startMs) / 1000;
}

describe.skipIf(!hasSocat)('needles of the real image over a pseudo-terminal and the real serial binding', () => {
  const world = createWorld('orchard', { seed });
  const board = new ImageBoard(world, { seed });
  let far: { close(): Promise<void> };

  beforeAll(async () => {
    process.env.LODEPOLE_HOME = folder;
    board.start();
    far = await openPseudoTerminal(link, board);
  });
  afterAll(async () => {
    await far.close();
    await board.close();
    delete process.env.LODEPOLE_HOME;
    rmSync(folder, { recursive: true, force: true });
  });

  const latest = (session: LiveSession): Needles => {
    const needles = session.latest();
    if (!needles) throw new Error('no needles');
    return needles;
  };

  it('a board never calibrated is shown with a wide band, and says so plainly', async () => {
    const session = await opened({ port: link, site });
    try {
      await until('needles', () => session.latest() !== undefined);
      expect(session.virtual !== undefined).toBe(false);
      expect(session.source).toMatch(/^board [0-9A-F]{8} on /);
      expect(session.notes().join(' ')).toMatch(/NOT CALIBRATED/);
      expect(latest(session).sigmaAltitudeErrorRad).toBeGreaterThan(4 * degree);
      expect(latest(session).sigmaAzimuthErrorRad).toBeGreaterThan(20 * degree);
      // a session on a board cannot know the truth, nor turn bolts
      expect(latest(session).truth).toBeUndefined();
      expect(session.virtual?.turnBolt).toBeUndefined();
      const hello = session.hello();
      if (!hello) throw new Error('no hello');
      await saveSwing(hello, site, rehearseFast('orchard', { seed }).swing);
    } finally {
      await session.close();
    }
  });

  it('with the swing that was kept it shows the true errors within what it states; pulled out, it goes stale and comes back', async () => {
    const session = await opened({ port: link, site });
    try {
      await until('needles', () => session.latest()?.state === 'still');
      await until('a narrow band', () => latest(session).sigmaAzimuthErrorRad < degree);
      expect(session.notes().join(' ')).toMatch(/Axis from the swing/);
      const truth = world.truth();
      const needles = latest(session);
      for (const [shown, sigma, real] of [
        [needles.altitudeErrorRad, needles.sigmaAltitudeErrorRad, truth.altitudeErrorRad],
        [needles.azimuthErrorRad, needles.sigmaAzimuthErrorRad, truth.azimuthErrorRad],
        [needles.distanceRad, needles.sigmaDistanceRad, truth.distanceRad],
      ]) {
        expect(Math.abs(shown - real)).toBeLessThan(farOffSigmas * sigma);
        expect(sigma).toBeLessThan(degree);
      }
      const limitS = 1.5;
      const staleS = await quickest(limitS, async () => {
        await far.close();
        const tookS = await until('stale', () => session.latest()?.state === 'stale');
        far = await openPseudoTerminal(link, board);
        await until('alive', () => session.latest()?.state !== 'stale');
        return tookS;
      });
      expect(staleS).toBeLessThan(limitS);
      expect(session.notes().join(' ')).toMatch(/Axis from the swing/);
    } finally {
      await session.close();
    }
  });

  it('without a site it says what to do', async () => {
    await expect(opened({ port: link })).rejects.toMatchObject({
      code: exitCode.usage,
      message: expect.stringMatching(/site is not known/),
    });
  });
});
