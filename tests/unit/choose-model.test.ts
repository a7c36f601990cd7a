// Which model the needles start from: a swing before a tumble before the datasheet, a named file before all; and how sessions open.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { truePole } from '../../calibration/polarAxis.ts';
import { FastBoard } from '../../firmware-proto/virtual/fastBoard.ts';
import { scenes } from '../../firmware-proto/virtual/scenes.ts';
import { createWorld } from '../../firmware-proto/virtual/world.ts';
import { exitCode } from '../../host/failure.ts';
import { chooseModel } from '../../host/live/chooseModel.ts';
import { openAsked } from '../../host/live/openAsked.ts';
import { openSession, place, placeBoard } from '../../host/live/openSession.ts';
import type { LiveSession } from '../../host/live/session.ts';
import { fieldAt } from '../../host/site/field.ts';
import { boardKey, calibrationToFile, writeCalibrationFile } from '../../host/store/calibrationFile.ts';
import { saveCalibration, saveSwing } from '../../host/store/profile.ts';
import { north, testModel } from './liveSamples.ts';
import { exactCalibration } from './swingExact.ts';

const date = new Date('2026-11-29T02:00:00Z');
const { hello } = new FastBoard(createWorld('orchard', { seed: 4, date }));
const site = { latitudeRad: 46 * degree, longitudeRad: -118 * degree, elevationM: 300 };
const field = fieldAt(site, date);
const calibration = exactCalibration({ fieldNt: 52_500, dipRad: 1.15 });

let home: string;
let session: LiveSession | undefined;
beforeEach(() => {
  home = mkdtempSync(join(tmpdir(), 'lodepole-choose-'));
  vi.stubEnv('LODEPOLE_HOME', home);
});
afterEach(async () => {
  await session?.close();
  session = undefined;
  vi.unstubAllEnvs();
  rmSync(home, { recursive: true });
});

const fileOf = async (board = boardKey(hello)): Promise<string> => {
  const file = join(home, 'oak.json');
  await writeCalibrationFile(file, calibrationToFile(calibration, { board, temperatureC: 11.5 }));
  return file;
};

describe('the model of a board', () => {
  it('is the limits of the datasheet where nothing is kept, and says how unsure that is', async () => {
    const { model, notes } = await chooseModel(hello, site, field);
    const bandDeg = (2 * model.sigmaMagneticAzimuthRad) / degree;
    expect(bandDeg).toBeGreaterThan(20);
    expect(notes).toEqual([
      `NOT CALIBRATED: the azimuth is uncertain by ${bandDeg.toFixed(0)} degrees.`,
      expect.stringMatching(/^.+ Next: lodepole tumble\.$/),
    ]);
    expect(model).not.toHaveProperty('temperatureC');
  });

  it('is the tumble where the board was not swung, then the swing', async () => {
    await saveCalibration(hello, calibration, 11.5);
    const tumbled = await chooseModel(hello, site, field);
    expect(tumbled.model).toMatchObject({ axisInBoard: [1, 0, 0], temperatureC: 11.5 });
    expect(tumbled.notes).toHaveLength(2);
    expect(tumbled.notes[0]).not.toBe('');
    expect(tumbled.notes[1]).toMatch(/^Only the tumble is used: .* give or take 10 degrees\.$/);
    const model = { ...testModel(north), axisInBoard: [0.6, 0, 0.8] as const };
    await saveSwing(hello, site, { axisModel: model as never });
    const swung = await chooseModel(hello, site, field);
    expect(swung.model.axisInBoard).toEqual([0.6, 0, 0.8]);
    expect(swung.notes[0]).toMatch(/^Axis from the swing of \d{4}-\d\d-\d\d \d\d:\d\d UTC\.$/);
    // a swing belongs to its mount
    expect((await chooseModel(hello, site, field, { mount: 'another' })).model.axisInBoard).toEqual([1, 0, 0]);
  });

  it('is that of a named file before all, whose board must be this one; a logger has no number', async () => {
    await saveSwing(hello, site, { axisModel: testModel(north) });
    const file = await fileOf();
    const named = await chooseModel(hello, site, field, { calibration: file });
    expect(named.notes).toEqual([`Calibration from ${file}.`, expect.stringMatching(/^Not swung: .* 10 degrees/)]);
    expect(named.model).toMatchObject({ axisInBoard: [1, 0, 0], temperatureC: 11.5, fieldNt: 52_500 });
    const other = await fileOf({ ...boardKey(hello), boardId: '00000001' });
    await expect(chooseModel(hello, site, field, { calibration: other })).rejects.toThrow('00000001');
    const logger = await chooseModel(hello, site, field, { calibration: other, isLogger: true });
    expect(logger.notes).toHaveLength(2);
    const older = await fileOf({ ...boardKey(hello), firmware: '0.0.1' });
    expect((await chooseModel(hello, site, field, { calibration: older })).notes).toEqual([
      `Calibration from ${older}.`,
      expect.stringMatching(/firmware 0\.0\.1/),
      expect.stringMatching(/^Not swung/),
    ]);
  });
});

describe('the place of a mount', () => {
  it('has the pole that is asked for, the variation with its sigma, and what is to be said of both', async () => {
    const [asUsual, refracted] = [await place(site, undefined, date), await place(site, 'refracted', date)];
    expect(asUsual.target).toEqual({
      pole: truePole(46 * degree),
      variationRad: field.variationRad,
      sigmaVariationRad: field.sigmaVariationRad,
    });
    // Bennett 1982: 0.97 arcminutes at 46 degrees
    expect(((refracted.target.pole.altitudeRad - 46 * degree) / degree) * 60).toBeCloseTo(0.97, 1);
    expect(asUsual.notes.slice(0, field.notes.length)).toEqual(field.notes);
    const old = await place(site, 'true', new Date('2034-01-01T00:00:00Z'));
    expect(old.notes.length).toBeGreaterThan(0);
  });

  it('has the bolts and the model that are kept for it', async () => {
    await saveSwing(hello, site, { axisModel: testModel(north) }, { mount: 'pier' });
    const placed = await placeBoard(site, { mount: 'pier' });
    expect([placed.site, placed.target?.pole]).toEqual([site, truePole(46 * degree)]);
    expect((await placed.modelFor?.({ kind: 'hello', ...hello }))?.notes[0]).toMatch(/^Axis from the swing/);
    expect((await (await placeBoard(site, {})).modelFor?.({ kind: 'hello', ...hello }))?.notes[0]).toMatch(/^NOT CAL/);
    const file = await fileOf();
    expect(
      (await (await placeBoard(site, { calibration: file })).modelFor?.({ kind: 'hello', ...hello }))?.notes[0],
    ).toBe(`Calibration from ${file}.`);
  });
});

describe('a session that is opened', () => {
  it('is refused with a port and a scene, or with a port that is not there', async () => {
    await expect(openSession({ virtual: 'orchard', port: 'any' })).rejects.toMatchObject({ code: exitCode.usage });
    await expect(openSession({ port: join(home, 'no-board') })).rejects.toMatchObject({
      code: exitCode.noBoard,
      message: `No board on ${join(home, 'no-board')}.`,
      whatToDo: expect.stringMatching(/./),
    });
  });

  it('with a scene and a file needs no rehearsal, and stands where the scene stands', async () => {
    const file = await fileOf(boardKey(new FastBoard(createWorld('woolshed', { seed: 2 })).hello));
    session = await openAsked({ virtual: 'woolshed', isFast: true, seed: 2, calibration: file });
    expect(session.source).toBe('virtual board, scene woolshed (invented)');
    expect(session.site).toMatchObject(scenes.woolshed.place);
    expect(session.site?.horizon).toBe(scenes.woolshed.hidden);
    expect(session.virtual?.calibration).toBeUndefined();
    expect(session.moveTo).toBeUndefined();
    await vi.waitUntil(() => session?.latest() !== undefined, { timeout: 20_000, interval: 10 });
    const notes = session.notes();
    expect(notes[0]).toBe(scenes.woolshed.words);
    expect(notes).toContain(`Calibration from ${file}.`);
    expect(notes.join(' ')).not.toMatch(/as given|ignored|No board found|rehearsal/);
    expect(session.latest()?.truth).toBeDefined();
  });

  it('says what it makes of a site, a mount and a clip that are meant for a real one', async () => {
    const file = await fileOf(boardKey(new FastBoard(createWorld('orchard')).hello));
    const words = async (more: object): Promise<string> => {
      await session?.close();
      session = await openSession({ virtual: 'orchard', isFast: true, calibration: file, ...more });
      return session.notes().join(' ');
    };
    expect(await words({ clip: 'oak' })).toMatch(/--mount and --clip are ignored/);
    expect(await words({ mount: 'pier' })).toMatch(/--mount and --clip are ignored/);
    const moved = await words({ site });
    expect(moved).toMatch(/stands at 46°00'00\.0" N, 118°00'00\.0" W, as given/);
    expect(moved).not.toMatch(/ignored/);
    expect(session?.site).toBe(site);
  });
});
