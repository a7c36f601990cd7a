// A virtual swing end for end leaves what holds for the board as the next virtual session has it in its clip.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { correct } from '../../calibration/correction.ts';
import { dot } from '../../calibration/vector.ts';
import type { BoardSample } from '../../host/link/boardSample.ts';
import { findAxisModel } from '../../host/store/profile.ts';
import { swingOn } from '../../host/commands/runSwing.ts';
import { farOffSigmas } from '../pages/honest.ts';
import { openHurried } from '../pages/hurriedSession.ts';

const home = mkdtempSync(join(tmpdir(), 'lodepole-reversal-'));
process.env.LODEPOLE_HOME = home;
afterAll(() => {
  delete process.env.LODEPOLE_HOME;
  rmSync(home, { recursive: true, force: true });
});

describe('swing --virtual --reversed', () => {
  it('keeps the axis and the turning iron of the way in which the board is clipped on in the next command', async () => {
    const scene = 'orchard';
    const first = openHurried(scene, 3, 16);
    const swung = await swingOn(first.session, { virtual: scene, seed: '3', reversed: true });
    const truth = first.world.truth();
    await first.session.close();
    expect(swung.accepted).toBe(true);
    expect(swung.rollRad.length).toBeGreaterThan(15);
    expect(Math.abs(swung.errors!.altitudeErrorRad - truth.altitudeErrorRad)).toBeLessThan(
      farOffSigmas * Math.sqrt(swung.errorCovariance![0]),
    );

    const { session, world } = openHurried(scene, 3, 4);
    const sample = await new Promise<BoardSample>((resolve) => session.onSample(resolve));
    const kept = await findAxisModel(session.hello()!, world.scene.place);
    await session.close();
    if (!('model' in kept)) throw new Error(kept.reason);
    const { axisInBoard, correction } = kept.model;
    const seenDeg = Math.asin(dot(correct(correction.accelerometer, sample.accelG), axisInBoard)) / degree;
    expect(Math.abs(seenDeg - swung.axisAltitudeRad / degree)).toBeLessThan(2);
  });
});
