import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { fitSwing } from '../../calibration/swing/fitSwing.ts';
import { FastBoard } from '../../firmware-proto/virtual/fastBoard.ts';
import { createWorld } from '../../firmware-proto/virtual/world.ts';
import { findAxisModel, findCalibration, saveCalibration, saveSwing } from '../../host/store/profile.ts';
import { readCalibrationFile } from '../../host/store/calibrationFile.ts';
import { clippingOf } from '../../host/store/clipping.ts';
import { KeptKnobs } from '../../host/store/knobs.ts';
import { exactCalibration, exactDwells } from './swingExact.ts';

const { hello } = new FastBoard(createWorld('orchard', { seed: 4 }));
const site = { latitudeRad: 47.2 * degree, longitudeRad: -112.5 * degree };
const mount = {
  altitudeRad: 0.7,
  magneticAzimuthRad: 0.1,
  fieldNt: 53_000,
  dipRad: 1.1,
  axisInBoard: [1, 0, 0],
  ironNt: [1000, 0, 0],
} as const;
const calibration = exactCalibration(mount);
const swing = fitSwing([exactDwells(mount, [0, 1, 2, 3, 4, 5])], calibration);

let home: string;
const before = process.env.LODEPOLE_HOME;
beforeEach(async () => {
  home = await mkdtemp(join(tmpdir(), 'lodepole-profile-'));
  process.env.LODEPOLE_HOME = home;
});
afterEach(async () => {
  if (before === undefined) delete process.env.LODEPOLE_HOME;
  else process.env.LODEPOLE_HOME = before;
  await rm(home, { recursive: true });
});

describe('a kept calibration', () => {
  it('comes back as it was for the same board, and says so when there is none', async () => {
    expect(await findCalibration(hello)).toMatchObject({ reason: expect.stringMatching(/not been calibrated/) });
    await saveCalibration(hello, calibration, 11);
    const found = await findCalibration(hello, 11);
    expect(found).toMatchObject({ cautions: [], temperatureC: 11 });
    expect('calibration' in found && found.calibration.correction).toEqual(calibration.correction);
    expect('calibration' in found && found.calibration.covariance).toEqual(calibration.covariance);
  });

  it('is not applied to another firmware, chip, orientation or scale, with the reason', async () => {
    await saveCalibration(hello, calibration);
    const others = [
      [{ ...hello, firmware: '9.9.9' }, /firmware/],
      [{ ...hello, accelerometer: { ...hello.accelerometer, id: 1 } }, /accelerometer/],
      [{ ...hello, magnetometer: { ...hello.magnetometer, orientation: '+Y-X+Z' as const } }, /magnetometer/],
      [{ ...hello, magnetometer: { ...hello.magnetometer, ntPerCount: 75 } }, /magnetometer/],
    ] as const;
    for (const [other, reason] of others) {
      expect(await findCalibration(other)).toMatchObject({ reason: expect.stringMatching(reason) });
    }
    expect(await findCalibration({ ...hello, boardId: '00000001' })).toMatchObject({
      reason: expect.stringMatching(/00000001/),
    });
  });

  it('is less sure when the temperature has moved, and cautions when it moved far', async () => {
    await saveCalibration(hello, calibration, 20);
    const colder = await findCalibration(hello, 16);
    if (!('calibration' in colder)) throw new Error('no calibration');
    expect(colder.cautions).toEqual([]);
    expect(colder.calibration.sigmaTiltRad).toBeGreaterThan(Math.hypot(calibration.sigmaTiltRad, 0.001));
    expect(colder.calibration.covariance[0]).toBeCloseTo(calibration.covariance[0] + 0.0012 ** 2, 12);
    expect(await findCalibration(hello, 5)).toMatchObject({ cautions: [expect.stringMatching(/15 degrees colder/)] });
  });

  it('keeps the one before, and refuses a broken file by name without touching it', async () => {
    await saveCalibration(hello, calibration, 1);
    await saveCalibration(hello, calibration, 2);
    const path = join(home, 'calibrations', `${hello.boardId}.json`);
    expect((await readCalibrationFile(path)).temperatureC).toBe(2);
    expect((await readCalibrationFile(`${path}.old`)).temperatureC).toBe(1);
    const text = await readFile(path, 'utf8');
    const mirrored = text.replace(/("accelerometer": \{\s*"biasG": \[[^\]]*\],\s*"matrix": \[\s*\[\s*)1,/, '$1-1,');
    expect(mirrored).not.toBe(text);
    for (const broken of [text.slice(0, 200), text.replace('"schema": 1', '"schema": 2'), mirrored]) {
      await writeFile(path, broken);
      await expect(findCalibration(hello)).rejects.toThrow(hello.boardId);
      expect(await readFile(path, 'utf8')).toBe(broken);
    }
  });
});

describe('a kept swing', () => {
  it('comes back for the same board, mount, clip and site', async () => {
    await saveSwing(hello, site, swing, { mount: 'old pier', clip: 'oak', temperatureC: 4 });
    const found = await findAxisModel(hello, site, { mount: 'old pier', clip: 'oak', temperatureC: 4 });
    expect(found).toMatchObject({ cautions: [] });
    if (!('model' in found)) throw new Error('no model');
    expect(found.model.axisInBoard).toEqual(swing.axisModel.axisInBoard);
    expect(found.model.correction).toEqual(swing.axisModel.correction);
    expect(found.model.sigmaMagneticAzimuthRad).toBeCloseTo(swing.axisModel.sigmaMagneticAzimuthRad, 12);
    expect(found.model.temperatureC).toBeCloseTo(swing.axisModel.temperatureC ?? 4, 9);
  });

  it('is not applied elsewhere, on another clip or to another board, with the reason', async () => {
    expect(await findAxisModel(hello, site)).toMatchObject({ reason: expect.stringMatching(/not been swung/) });
    await saveSwing(hello, site, swing);
    const far = { ...site, latitudeRad: site.latitudeRad + 0.01 * degree };
    expect(await findAxisModel(hello, far)).toMatchObject({ reason: expect.stringMatching(/1\.1 km from here/) });
    expect(await findAxisModel(hello, site, { clip: 'brass' })).toMatchObject({
      reason: expect.stringMatching(/not on "mount" with "brass"/),
    });
    expect(await findAxisModel({ ...hello, firmware: '2' }, site)).toMatchObject({
      reason: expect.stringMatching(/firmware/),
    });
  });

  it('is kept for each mount and clip, whatever the capitals', async () => {
    await saveSwing(hello, site, swing, { mount: 'Old Pier' });
    await saveSwing(hello, site, swing);
    expect(await findAxisModel(hello, site)).toHaveProperty('model');
    expect(await findAxisModel(hello, site, { mount: 'old pier' })).toHaveProperty('model');
    expect(await findAxisModel(hello, site, { mount: 'new pier' })).toMatchObject({
      reason: expect.stringMatching(/"Old Pier" with "clip".*not on "new pier".*--mount/),
    });
  });

  it.each(['', '../x', 'a'.repeat(31), 'a/b', '.hidden'])('takes no name like "%s"', (mount) => {
    expect(() => clippingOf({ mount })).toThrow(/not a valid name/);
  });
});

describe('kept turns of the bolts', () => {
  const knob = {
    radPerTurn: -0.6 * degree,
    sigmaRadPerTurn: 0.02 * degree,
    backlashTurns: 0.1,
    sigmaBacklashTurns: 0.05,
    lastWay: -1,
  } as const;

  it('come back for the same mount and pole, and for no other', async () => {
    const first = await KeptKnobs.of({}, site);
    expect(first.words()).toEqual([]);
    first.azimuth = knob;
    first.altitude = { ...knob, radPerTurn: 0.5 * degree };
    await first.saved;
    const again = await KeptKnobs.of({}, site);
    expect(again.azimuth?.radPerTurn).toBeCloseTo(knob.radPerTurn, 12);
    expect(again.azimuth).toMatchObject({ backlashTurns: 0.1, lastWay: -1 });
    expect(again.words().join()).toBe(
      'One turn of a bolt of "mount" moves the axis: altitude 0.50°, give or take 0.04°; azimuth 0.60°, give or take 0.04°.',
    );
    expect((await KeptKnobs.of({ mount: 'pier' }, site)).azimuth).toBeUndefined();
    expect((await KeptKnobs.of({}, { latitudeRad: -0.5 })).azimuth).toBeUndefined();
  });

  it('say so when they cannot be kept, and are used all the same', async () => {
    const knobs = await KeptKnobs.of({}, site);
    await writeFile(join(home, 'knobs'), 'a file in the place of the folder');
    knobs.altitude = knob;
    await knobs.saved;
    expect(knobs.altitude?.radPerTurn).toBeCloseTo(knob.radPerTurn, 12);
    expect(knobs.words().join(' ')).toMatch(/are not saved.*cannot be saved/);
  });
});
