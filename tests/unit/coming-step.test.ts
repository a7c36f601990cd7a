import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it, onTestFinished } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import type { LiveSession } from '../../host/live/session.ts';
import { ComingStep } from '../../host/night/comingStep.ts';
import { NightLog } from '../../host/night/nightLog.ts';
import { plainAxisModel } from './plainAxisModel.ts';

const site = { latitudeRad: 47 * degree, longitudeRad: -112 * degree, elevationM: 900 };
/** Dark there. */
const utc = (): Date => new Date('2026-11-25T05:00:00Z');

function comingAt(session: object): { coming: ComingStep; log: NightLog } {
  const log = new NightLog({ isKept: false, now: utc });
  const coming = new ComingStep(
    { site, axisModel: () => plainAxisModel, latest: () => undefined, ...session } as unknown as LiveSession,
    log,
  );
  onTestFinished(() => coming.close());
  return { coming, log };
}

function emptyHome(): string {
  const home = mkdtempSync(join(tmpdir(), 'lodepole-coming-'));
  const before = process.env.LODEPOLE_HOME;
  process.env.LODEPOLE_HOME = home;
  onTestFinished(() => {
    if (before === undefined) delete process.env.LODEPOLE_HOME;
    else process.env.LODEPOLE_HOME = before;
    rmSync(home, { recursive: true });
  });
  return home;
}

describe('the next step beside live needles', () => {
  it('follows what a practised evening does, and goes on when its log grows', async () => {
    const { coming, log } = comingAt({ virtual: { eyepiece: { utc }, calibration: {} } });
    await expect.poll(() => coming.title).toBe('Next: turn the bolts by the needles.');
    expect(coming.reason).toContain('needle');
    const [altitudeErrorRad, azimuthErrorRad] = [0.1 * degree, -0.3 * degree];
    await log.keep({ kind: 'compass', altitudeErrorRad, azimuthErrorRad, axisCovariance: [1e-6, 0, 0, 4e-6] });
    await expect.poll(() => coming.title).toBe('Next: put the load on.');
  });

  it('goes by what is kept on this computer where the board is a real one', async () => {
    emptyHome();
    const { coming } = comingAt({});
    await expect.poll(() => coming.title).toBe('Next: site.');
  });

  it('falls silent when what is kept can no longer be read', async () => {
    const home = emptyHome();
    let isKnown = false;
    const { coming } = comingAt({ axisModel: () => (isKnown ? plainAxisModel : undefined) });
    await expect.poll(() => coming.title).toBe('Next: site.');
    writeFileSync(join(home, 'site.json'), '{"schema": 1, "latitudeDeg": "north"');
    isKnown = true;
    await expect.poll(() => coming.title).toBe('');
  });
});
