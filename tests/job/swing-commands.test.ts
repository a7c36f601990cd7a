// swing, standoff and level from files, as a user types them: keys, exit codes and words of the contract.
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { createWorld } from '../../firmware-proto/virtual/world.ts';
import {
  levelSamples,
  standoffSamples,
  swingSamples,
  tumbleSamples,
  type PhysicalSample,
} from '../../firmware-proto/virtual/worldSamples.ts';
import { fieldAt } from '../../host/site/field.ts';
import { calibrationToFile, writeCalibrationFile } from '../../host/store/calibrationFile.ts';
import { exactCalibration, exactDwells } from '../unit/swingExact.ts';
import { run, type Ran } from './lodepole.ts';

const home = mkdtempSync(join(tmpdir(), 'lodepole-swing-'));
afterAll(() => rmSync(home, { recursive: true }));

const lodepole = (...words: string[]): Promise<Ran> => run(home, words);

const file = (name: string): string => join(home, name);
function writeCsv(name: string, samples: readonly PhysicalSample[]): void {
  const rows = samples.map(({ timeS, accelG, fieldNt, temperatureC }) =>
    [timeS, ...accelG, ...fieldNt.map((part) => part / 1000), temperatureC].join(','),
  );
  writeFileSync(file(name), `t_s,ax_g,ay_g,az_g,mx_ut,my_ut,mz_ut,temp_c\n${rows.join('\n')}\n`);
}

describe('an evening in files, woolshed', () => {
  const world = createWorld('woolshed', { seed: 5, tripodIronNt: 400 });
  const { latitudeRad, longitudeRad } = world.scene.place;
  const site = ['--lat', String(latitudeRad / degree), '--lon', String(longitudeRad / degree)];
  const truth = world.truth();
  let tumbled: Ran;

  beforeAll(async () => {
    writeCsv('tumble.csv', tumbleSamples(world, { samples: 1500 }));
    writeCsv('swing.csv', swingSamples(world, { hz: 50 }));
    writeCsv('reversed.csv', swingSamples(world, { hz: 50, reversed: true }));
    world.advanceTo(world.hands.clip());
    writeCsv(
      'standoff.csv',
      standoffSamples(world, [0, 60, 120], 3, 50).flatMap(({ samples }) => samples),
    );
    writeCsv('level.csv', levelSamples(world, 3, 50).flat());
    tumbled = await lodepole('tumble', '--from', file('tumble.csv'), '--out', file('board.json'), ...site, '--json');
  });
  const calibration = ['--calibration', file('board.json')];

  it('the tumble is kept', () => expect(tumbled.code).toBe(0));

  it('swing gives errors, sigmas, axis, spread and arc, once and end for end', async () => {
    const [once, twice, words] = await Promise.all([
      lodepole('swing', '--from', file('swing.csv'), ...calibration, ...site, '--json'),
      lodepole(
        'swing',
        '--from',
        file('swing.csv'),
        '--reversed',
        file('reversed.csv'),
        ...calibration,
        ...site,
        '--json',
      ),
      lodepole('swing', '--from', file('swing.csv'), ...calibration, ...site),
    ]);
    for (const ran of [once, twice]) {
      expect(ran.code).toBe(0);
      const json = JSON.parse(ran.stdout);
      expect(Object.keys(json)[0]).toBe('schema');
      expect(Math.hypot(...json.axisInBoard)).toBeCloseTo(1, 6);
      expect(json.arcDeg).toBeGreaterThan(320);
      expect(json.spreadDeg).toBeLessThan(0.3);
      expect(Math.abs(json.altitudeErrorDeg - truth.altitudeErrorRad / degree)).toBeLessThan(
        3.5 * json.sigmaAltitudeErrorDeg,
      );
      expect(Math.abs(json.azimuthErrorDeg - truth.azimuthErrorRad / degree)).toBeLessThan(
        3.5 * json.sigmaAzimuthErrorDeg,
      );
      for (const key of ['sigmaDistanceDeg', 'axisAltitudeDeg', 'axisMagneticAzimuthDeg']) {
        expect(json[key]).toEqual(expect.any(Number));
      }
    }
    expect(JSON.parse(twice.stdout).dwells).toBe(24);
    expect(words.stdout).toMatch(/too (high|low), give or take .*\n.*too far (east|west), give or take/);
  });

  it('where nothing turns, a rest each way round says what the seat leaves open, and counts it', async () => {
    const { fieldNt, dipRad, variationRad } = fieldAt(world.scene.place, new Date());
    const kept = file('exact.json');
    await writeCalibrationFile(kept, calibrationToFile(exactCalibration({ fieldNt, dipRad })));
    // the axis stands at the pole; its seat is two degrees steeper, which no rest on it can show
    const offRad = 2 * degree;
    const seat = {
      altitudeRad: Math.abs(latitudeRad) + offRad,
      magneticAzimuthRad: Math.PI - variationRad,
      fieldNt,
      dipRad,
      ironNt: [0, 0, 0] as const,
    };
    const write = (name: string, sense: 1 | -1): void => {
      const rolls = Array.from({ length: 360 }, (_, i) => i * degree);
      const { accelG, fieldNt: field } = exactDwells({ ...seat, axisInBoard: [sense, 0, 0] }, rolls).reduce(
        (best, next) => (next.accelG[2] > best.accelG[2] ? next : best),
      );
      writeFileSync(
        file(name),
        `ax_g,ay_g,az_g,mx_ut,my_ut,mz_ut\n${[...accelG, ...field.map((part) => part / 1000)].join(',')}\n`,
      );
    };
    write('first.csv', 1);
    write('turned.csv', -1);
    const fixed = (second: string, ...more: string[]): Promise<Ran> =>
      lodepole(
        'swing',
        '--fixed',
        '--from',
        file('first.csv'),
        '--reversed',
        file(second),
        '--calibration',
        kept,
        ...site,
        ...more,
      );
    const [json, words, same] = await Promise.all([
      fixed('turned.csv', '--json'),
      fixed('turned.csv'),
      fixed('first.csv'),
    ]);
    const found = JSON.parse(json.stdout);
    expect(found.accepted).toBe(true);
    expect(found.altitudeErrorDeg).toBeCloseTo(2, 1);
    expect(Math.abs(found.altitudeErrorDeg)).toBeLessThan(2.05 * found.sigmaAltitudeErrorDeg);
    expect(words.stdout.replace(/\s+/g, ' ')).toMatch(/The angle from the seat to the polar axis remains: up to 2°/);
    expect(same).toMatchObject({
      code: 1,
      stdout: expect.stringMatching(/^REFUSED: angle by which the board was turned/),
    });
    expect(same.stdout).not.toMatch(/Raise|Lower|Move the axis|moved/);
  });

  it('without a calibration, with too few rests or with a missing file it says what to do', async () => {
    const [bare, few, missing] = await Promise.all([
      lodepole('swing', '--from', file('swing.csv'), ...site),
      lodepole('swing', '--from', file('level.csv'), ...calibration, ...site),
      lodepole('swing', '--from', file('nothing.csv'), ...calibration),
    ]);
    const fewJson = await lodepole('swing', '--from', file('level.csv'), ...calibration, ...site, '--json');
    expect(Object.keys(JSON.parse(fewJson.stdout))[0]).toBe('schema');
    expect(JSON.parse(fewJson.stdout)).toMatchObject({
      schema: 1,
      accepted: false,
      reason: expect.stringMatching(/2 places only/),
      value: null,
      limit: null,
      nextAction: expect.stringMatching(/./),
    });
    expect(bare).toMatchObject({ code: 64, stderr: expect.stringMatching(/Tumble first/) });
    expect(few).toMatchObject({ code: 1, stderr: expect.stringMatching(/2 places only/) });
    expect(missing).toMatchObject({ code: 74, stderr: expect.stringMatching(/nothing\.csv/) });
  });

  it('standoff and level give their answers and what to do', async () => {
    const [standoff, miscounted, tooMany, level] = await Promise.all([
      lodepole('standoff', '--from', file('standoff.csv'), '--spacers', '0,60,120', ...calibration, ...site, '--json'),
      lodepole('standoff', '--from', file('standoff.csv'), '--spacers', '0,60', ...calibration),
      lodepole('standoff', '--from', file('standoff.csv'), '--spacers', '0,60,120,240', ...calibration),
      lodepole('level', '--from', file('level.csv'), ...site, '--json'),
    ]);
    // little iron stands below the clip, much turns along, and no swing is kept that would tell the two apart
    expect(standoff.code).toBe(1);
    const iron = JSON.parse(standoff.stdout);
    expect(iron.reason).toMatch(/spacers changed nothing.*swing the axis, then measure again/);
    expect(iron.words).toBe('');
    expect(Math.abs(iron.ironNt - 400)).toBeLessThan(3 * iron.sigmaIronNt);
    expect(iron.sigmaDeviationDeg).toBeGreaterThan(0);
    expect(miscounted).toMatchObject({
      code: 65,
      stderr: expect.stringMatching(/3 rests, but 2 spacers.*--spacers 0,50,100/s),
    });
    expect(tooMany).toMatchObject({
      code: 65,
      stderr: expect.stringMatching(/3 rests, but 4 spacers.*lift it clearly/s),
    });
    const base = JSON.parse(level.stdout);
    const vertical = world.mount.tilt;
    expect(base.northHighDeg).toBeCloseTo(vertical[2] / degree, 1);
    expect(base.eastHighDeg).toBeCloseTo(vertical[5] / degree, 1);
    expect(base.words).toMatch(/higher in the/);
  });
});
