import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import { arcminute, degree } from '../../calibration/angle.ts';
import type { TimedReading } from '../../calibration/swing/timedReading.ts';
import type { LiveSession } from '../../host/live/session.ts';
import { keptLoads } from '../../host/store/lockings.ts';
import { stepView, type StepRequest } from '../../host/web/messages.ts';
import { LoadSheet } from '../../host/web/sheet/loadSheet.ts';
import { LockSheet } from '../../host/web/sheet/lockSheet.ts';
import { Night } from '../../host/web/sheet/nightAtPage.ts';
import { axisFeeder } from './axisFeeder.ts';
import { plainAxisModel } from './plainAxisModel.ts';

let home: string;
beforeEach(async () => {
  home = await mkdtemp(join(tmpdir(), 'lodepole-'));
  vi.stubEnv('LODEPOLE_HOME', home);
});
afterEach(async () => {
  vi.unstubAllEnvs();
  await rm(home, { recursive: true, force: true });
});

const site = { latitudeRad: 47 * degree, longitudeRad: -1.7, elevationM: 300 };

/** A real board, as far as the step sees it, on the mount of this name. */
function atMount(mount: string, latitudeRad = site.latitudeRad) {
  const listeners = new Set<(reading: TimedReading) => void>();
  const session = {
    site: { ...site, latitudeRad },
    clipping: { mount },
    axisModel: () => plainAxisModel,
    latest: () => ({ altitudeErrorRad: 0.002, azimuthErrorRad: -0.003 }),
    onSample: (listener: (reading: TimedReading) => void) => {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
    onNeedles: () => () => {},
    notes: () => [],
  } as unknown as LiveSession;
  const night = new Night(session);
  const feed = axisFeeder((reading) => {
    for (const listener of listeners) listener(reading);
  });
  return { night, sheet: new LoadSheet(night), feed };
}
const press = (action: string, load?: string): StepRequest => ({ action, fields: load === undefined ? {} : { load } });
const shown = (sheet: LoadSheet | LockSheet) => stepView.parse(sheet.view());

it('measures what a load does, remembers it for mount and load, and offers the correction before it goes on again', async () => {
  const { night, sheet, feed } = atMount('barn');
  expect(shown(sheet)).toMatchObject({ status: 'to do', fields: [{ name: 'load', value: 'instrument' }] });
  expect(shown(sheet).cautions[0]).toMatch(/^Hold the tube/);
  await sheet.act(press('start', ' Refractor '));
  await expect(async () => sheet.act(press('loading'))).rejects.toThrow('has not come to rest before the load goes on');
  feed(4, () => 0);
  await sheet.act(press('loading'));
  expect(shown(sheet)).toMatchObject({ status: 'under way', figure: 'put it on now' });
  await expect(sheet.act(press('finish'))).rejects.toThrow('after the load went on');
  feed(2, (share) => -share * 7 * arcminute);
  feed(4, () => -7 * arcminute);
  await sheet.act(press('finish'));
  const done = shown(sheet);
  expect(done.status).toBe('done');
  expect(done.toDo[0]).toMatch(/^The load moved the axis 7′ low/);
  expect(done.drawing).toMatchObject({ kind: 'shift', rows: [{ label: 'azimuth' }, { label: 'altitude' }] });
  expect(night.carried.log.entries).toMatchObject([
    { kind: 'nudge', by: 'load', words: expect.stringMatching(/Load: Refractor\.$/) as string },
  ]);

  const later = atMount('Barn').sheet;
  await expect
    .poll(() => shown(later).toDo.join(' '))
    .toMatch(/Putting Refractor on this mount moved the axis .*low.*Before you put Refractor on, nudge to .*high/);
  expect(shown(later).fields[0].value).toBe('Refractor');
  expect(shown(later).howSure).toContain('for the mount Barn');
  // under the other pole, and on another mount, nothing of it is known
  for (const other of [atMount('balcony'), atMount('barn', -site.latitudeRad)]) {
    await other.sheet.act(press('start'));
    await other.sheet.act(press('cancel'));
    expect(shown(other.sheet).toDo).toHaveLength(1);
  }
});

it('refuses a name that none can be, and keeps locking and load apart', async () => {
  const { night, sheet, feed } = atMount('barn');
  await expect(async () => sheet.act(press('start', '../x'))).rejects.toThrow('is not a valid name for a load');
  const lock = new LockSheet(night);
  await lock.act(press('start'));
  feed(4, () => 0);
  await lock.act(press('locking'));
  feed(2, (share) => share * 5 * arcminute);
  feed(4, () => 5 * arcminute);
  await lock.act(press('finish'));
  expect(shown(lock).toDo[0]).toMatch(/^Locking moved the axis 5′ high/);
  expect(await keptLoads({ mount: 'barn' })).toEqual([]);
  const again = new LockSheet(new Night(night.session));
  await expect.poll(() => shown(again).toDo.join(' ')).toContain('Before you lock, nudge to');
});
