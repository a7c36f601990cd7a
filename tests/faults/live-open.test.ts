// A session with a board at a real serial port (a pseudo-terminal): its site, its model, and what is refused.
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { exitCode, Failure } from '../../host/failure.ts';
import { openAsked } from '../../host/live/openAsked.ts';
import type { SessionOptions } from '../../host/live/openSession.ts';
import type { LiveSession } from '../../host/live/session.ts';
import { boardKey, calibrationToFile, writeCalibrationFile } from '../../host/store/calibrationFile.ts';
import { saveSite } from '../../host/store/site.ts';
import { opened } from '../job/opened.ts';
import { exactCalibration } from '../unit/swingExact.ts';
import { FarEnd, testHello } from './link-farEnd.ts';

const site = { latitudeRad: 46 * degree, longitudeRad: -118 * degree, elevationM: 300 };

describe('a board at a port', () => {
  let end: FarEnd;
  let session: LiveSession | undefined;
  let home: string;
  beforeEach(async () => {
    end = await FarEnd.create();
    home = await mkdtemp(join(tmpdir(), 'lodepole-open-'));
    vi.stubEnv('LODEPOLE_HOME', home);
    await end.plug();
  });
  afterEach(async () => {
    await session?.close();
    session = undefined;
    vi.unstubAllEnvs();
    // the port that answered may be being remembered
    await rm(home, { recursive: true, force: true, maxRetries: 20, retryDelay: 50 });
    await end.remove();
  });
  const open = async (more: SessionOptions = {}): Promise<LiveSession> =>
    (session = await opened({ port: end.path, ...more }));

  it('is refused without a site, shows nothing until it is told one, then needles', async () => {
    await expect(opened({ port: end.path })).rejects.toMatchObject({
      code: exitCode.usage,
      message: expect.stringMatching(/answers, but the site is not known\.$/),
      whatToDo: expect.stringContaining('lodepole site'),
    });
    const { notes, moveTo, ...told } = await (async () => {
      const live = await open({ mayLackSite: true, mount: 'pier', clip: 'oak' });
      return { notes: live.notes(), moveTo: live.moveTo?.bind(live), site: live.site, needles: live.latest() };
    })();
    expect(told).toEqual({ site: undefined, needles: undefined });
    expect(notes).toHaveLength(1);
    expect(notes[0]).toMatch(/Type it on the page, in the step Site, or give --lat and --lon\.$/);
    expect(session?.clipping).toEqual({ mount: 'pier', clip: 'oak' });
    await moveTo?.(site);
    expect(session?.site).toBe(site);
    await vi.waitUntil(() => session?.latest() !== undefined, { timeout: 20_000, interval: 10 });
    expect(session?.notes().join(' ')).toContain('NOT CALIBRATED');
    expect(session?.latest()?.truth).toBeUndefined();
    expect(session?.virtual).toBeUndefined();
    expect(session?.source).toContain(testHello.boardId);
  });

  it('stands at the saved site, unless another is given; it is no virtual board', async () => {
    await saveSite(site);
    session = await openAsked({ port: end.path }).catch(() => open());
    expect(session.site).toMatchObject(site);
    await session.close();
    const given = { ...site, latitudeRad: 44 * degree };
    expect((await open({ site: given })).site).toBe(given);
  });

  it('with a calibration of another board is refused before anything is shown, with its own it is used', async () => {
    const file = join(home, 'oak.json');
    const keep = (boardId: string) =>
      writeCalibrationFile(
        file,
        calibrationToFile(exactCalibration({ fieldNt: 53_000, dipRad: 1.1 }), {
          board: { ...boardKey(testHello), boardId },
        }),
      );
    await keep('00000001');
    await expect(opened({ port: end.path, site, calibration: file })).rejects.toBeInstanceOf(Failure);
    await keep(testHello.boardId);
    await open({ site, calibration: file });
    await vi.waitUntil(() => session?.latest() !== undefined, { timeout: 20_000, interval: 10 });
    expect(session?.notes()).toContain(`Calibration from ${file}.`);
  });
});
