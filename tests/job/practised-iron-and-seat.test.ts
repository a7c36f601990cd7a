// What no mount of the scenes has by itself: iron below the clip to find, and a seat that does not turn.
import { mkdtemp, readdir, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { LevelSheet } from '../../host/web/sheet/levelSheet.ts';
import { Night } from '../../host/web/sheet/nightAtPage.ts';
import { StandoffSheet } from '../../host/web/sheet/standoffSheet.ts';
import { SwingSheet } from '../../host/web/sheet/swingSheet.ts';
import { stepView } from '../../host/web/messages.ts';
import { farOffSigmas } from '../pages/honest.ts';
import { openHurried } from '../pages/hurriedSession.ts';
import { runHere } from './inProcess.ts';

let home: string;
beforeAll(async () => {
  home = await mkdtemp(join(tmpdir(), 'lodepole-practised-'));
  process.env.LODEPOLE_HOME = home;
});
afterAll(async () => {
  delete process.env.LODEPOLE_HOME;
  await rm(home, { recursive: true, force: true });
});

/** `3.3°, give or take 1.1°`, `12′ west, give or take 2.0°` and their like in degrees; east and high are positive. */
function read(text: string): { deg: number; bandDeg: number } {
  const told = /([\d.]+)([°′])(?: (\w+))?, give or take ([\d.]+)([°′])/.exec(text);
  if (!told) return expect.unreachable(text);
  const [, size, unit, side = '', band, bandUnit] = told;
  const inDeg = (number: string, of: string): number => Number(number) / (of === '°' ? 1 : 60);
  return { deg: inDeg(size, unit) * (/west|low/.test(side) ? -1 : 1), bandDeg: inDeg(band, bandUnit) };
}
const press = (action: string) => ({ action, fields: {} });

it('hands clamp iron to a virtual mount, and change the spacers: it is found, and refused where it is too much', async () => {
  const { session, world } = openHurried('orchard', 6, 30, { isRehearsed: true });
  try {
    const sheet = new StandoffSheet(new Night(session));
    const measured = async () => {
      await sheet.act(press('hands'));
      return stepView.parse(sheet.view());
    };
    await expect.poll(() => session.latest()).toBeDefined();
    expect(read((await measured()).measured[0].value).deg).toBeLessThan(1.5);
    await sheet.act(press('iron'));
    expect(sheet.view()).toMatchObject({ status: 'to do', figure: '' });
    expect(sheet.view().actions.map(({ label }) => label)).toContain('Hands take the iron away');
    const found = await measured();
    expect(found.status).toBe('done');
    expect(found.toDo[0]).toMatch(/^Iron about \d+ cm below the board turns the compass .* toward west/);
    expect(read(found.measured[0].value).deg).toBeGreaterThan(1);
    world.advanceTo(world.hands.clampIron(8000));
    const refused = await measured();
    expect(refused.status).toBe('refused');
    expect(refused.toDo[0]).toContain('ron near the clip turns the compass');
    await sheet.act(press('iron'));
    expect(read((await measured()).measured[0].value).deg).toBeLessThan(1.5);
  } finally {
    await session.close();
  }
});

it('hands clip the board on a part that does not turn: the axis is found as well as it says, and nothing uses it', async () => {
  const { session, world } = openHurried('woolshed', 3, 30, { isRehearsed: true });
  try {
    const night = new Night(session);
    const [swing, level] = [new SwingSheet(night), new LevelSheet(night)];
    await expect.poll(() => session.latest()).toBeDefined();
    night.calibration = session.virtual!.calibration;
    const model = session.axisModel();
    await swing.act(press('hands-fixed'));
    const told = stepView.parse(swing.view());
    expect(told.status).toBe('done');
    expect(told.toDo[0]).toContain('This was practice');
    expect(told.howSure).toContain('2°');
    expect(session.axisModel()).toBe(model);
    const truth = world.truth();
    for (const [at, trueRad] of [
      [0, truth.azimuthErrorRad],
      [1, truth.altitudeErrorRad],
    ] as const) {
      const { deg, bandDeg } = read(told.measured[at].value);
      expect(Math.abs(deg - trueRad / degree)).toBeLessThan((farOffSigmas / 2) * bandDeg);
      // a seat that may lie 1 degree off leaves no less than that
      expect(bandDeg).toBeGreaterThan(1.9);
    }
    await world.hands.whenDone();
    expect(world.pose.placement).toBe('axis');
    await level.act(press('hands'));
    expect(level.view().status).toBe('done');
  } finally {
    await session.close();
  }
});

it('the commands do the same, keep nothing of it, and clamp iron to no real mount', async () => {
  const real = await runHere(home, ['standoff', '--iron', '2', '--from', 'none.csv']);
  expect([real.code, real.stderr]).toEqual([64, expect.stringContaining('Only virtual hands clamp iron') as string]);
  const odd = await runHere(home, ['standoff', '--virtual', 'orchard', '--iron', '700']);
  expect([odd.code, odd.stderr]).toEqual([64, expect.stringContaining('from 0 to 50') as string]);
  const ran = await runHere(home, ['swing', '--fixed', '--virtual', 'woolshed', '--seed', '5', '--json']);
  expect(ran.code).toBe(0);
  expect(JSON.parse(ran.stdout)).toMatchObject({ kind: 'swing', accepted: true });
  expect(ran.stderr).toContain('Nothing is saved');
  expect(await readdir(home)).toEqual([]);
});
