import { describe, expect, test } from 'vitest';
import { picoBoard } from '../../firmware-proto/virtual/arm/boards.ts';
import type { ChipNames } from '../../firmware-proto/virtual/chips/onTheBus.ts';
import {
  accelerometers,
  magnetometers,
  makeOf,
  type AccelerometerName,
  type MagnetometerName,
} from '../../firmware-proto/virtual/chips/parts.ts';
import type { World } from '../../firmware-proto/virtual/world.ts';
import type { Decoded } from '../../firmware-proto/wire.ts';
import { chipPairs } from '../chipPairs.ts';
import { only, runBoard, runImage, stillWorld } from './board-run.ts';

const counts = (physical: readonly number[], perCount: number): [number, number, number] => {
  const [x, y, z] = physical.map((value) => Math.round(value / perCount));
  return [x, y, z];
};

/** A world that stands still, with another figure and sign on each axis. */
function worldOf([accelerometer, magnetometer]: readonly [AccelerometerName, MagnetometerName]) {
  const make = makeOf(accelerometer, magnetometer);
  const read = {
    accel: counts([0.31, -0.42, 0.85], make.accelerometer.perCount),
    field: counts([-11_300, 17_200, -43_100], make.magnetometer.perCount),
    rate: make.gyro && counts([1.5, -22, 90], make.gyro.perCount),
    temperature: -1280, // 20 degrees
  };
  const world: World = { ...stillWorld, countsAt: () => read };
  const chips: ChipNames = { accelerometer, magnetometer };
  return { make, read, world, chips };
}

const near = (found: readonly number[], expected: readonly number[], tolerance: number): void => {
  for (let axis = 0; axis < 3; axis += 1) expect(Math.abs(found[axis] - expected[axis])).toBeLessThanOrEqual(tolerance);
};

describe('the committed image for the ATmega328P', () => {
  test('is tried with every chip that it knows', () => {
    expect(new Set(chipPairs.map(([name]) => name))).toEqual(new Set(Object.keys(accelerometers)));
    expect(new Set(chipPairs.map(([, name]) => name))).toEqual(new Set(Object.keys(magnetometers)));
  });

  const axes = (of: string): string[] => [`${of}-x`, `${of}-y`, `${of}-z`];
  const withoutLimits = ['LSM9DS1']; // its gyro
  /** Rows besides those of the identities. */
  const pushed: Record<string, readonly string[]> = {
    LSM303DLHC: [],
    QMC5883L: [],
    IST8310: [],
    MMC5983MA: ['field-turn'],
  };

  test.each(chipPairs)('reads %s and %s to the sign and scale, and tests them', (...pair) => {
    const { make, read, world, chips } = worldOf(pair);
    const { run, ask, board } = runImage({ chips }, world);
    const first = run(0.2);
    ask('hello');
    const [hello] = only(run(0.05), 'hello');
    expect(hello).toMatchObject({
      accelerometer: { name: pair[0], id: Number.parseInt(make.accelerometer.identity, 16) },
      magnetometer: { name: pair[1], id: Number.parseInt(make.magnetometer.identity, 16) },
    });
    expect(hello.accelerometer.gPerCount / make.accelerometer.perCount).toBeCloseTo(1, 4);
    expect(hello.magnetometer.ntPerCount / make.magnetometer.perCount).toBeCloseTo(1, 4);
    expect(hello.gyro?.name).toBe(make.gyro && pair[0]);
    const samples = only(run(0.3), 'sample');
    expect(samples.length).toBeGreaterThanOrEqual(29);
    expect(samples.map(({ seq }) => seq)).toEqual(samples.map((_, index) => samples[0].seq + index));
    for (const sample of [...only(first, 'sample'), ...samples]) {
      near(sample.accel, read.accel, 0);
      near(sample.field, read.field, 1);
      if (read.rate) near(sample.rate ?? [], read.rate, 0);
      else expect(sample.rate).toBeUndefined();
    }
    const { cPerCount, cAtZero } = hello.temperature;
    if (cPerCount > 0) expect(samples[0].temperature * cPerCount + cAtZero).toBeCloseTo(20, 0);
    else expect(samples[0].temperature).toBe(0);

    const rows = () => {
      ask('selftest');
      const lines: Decoded[] = [];
      while (only(lines, 'acknowledged').length === 0 && lines.length < 40) lines.push(...run(0.05));
      expect(only(lines, 'acknowledged').map(({ request }) => request)).toEqual(['selftest']);
      return only(lines, 'test');
    };
    const ofPair = [...(pushed[pair[0]] ?? axes('accel')), ...(pushed[pair[1]] ?? axes('field'))];
    if (make.gyro && !withoutLimits.includes(pair[0])) ofPair.push(...axes('rate'));
    const sound = rows();
    expect(sound.map(({ name }) => name)).toEqual(['accel-id', 'field-id', ...ofPair]);
    expect(sound.filter(({ passed }) => !passed)).toEqual([]);
    board.accelerometer.seized = true;
    board.magnetometer.seized = true;
    const failed = rows().filter(({ passed }) => !passed);
    // An AK8963's and AK09916's own field lies along z: their x and y must stay small, which they do.
    const expected = ofPair.filter((name) => !(pair[1].startsWith('AK') && ['field-x', 'field-y'].includes(name)));
    expect(failed.map(({ name }) => name)).toEqual(expected);
    board.accelerometer.seized = false;
    board.magnetometer.seized = false;
    run(0.1);
    const last = only(run(0.05), 'sample').at(-1);
    near(last?.accel ?? [], read.accel, 0);
    near(last?.field ?? [], read.field, 1);
  });

  const gyroPair = worldOf(['LSM6DS3', 'LIS3MDL']);

  test('a chip that loses its supply, or keeps silent, or holds the bus, is told and set up again', () => {
    const { run, board } = runImage({ chips: gyroPair.chips }, gyroPair.world);
    run(0.2);
    const fault = (cause: () => void, cure: () => void = () => undefined): string => {
      cause();
      const events = only(run(1.2), 'event').map(({ code }) => code);
      cure();
      run(0.3);
      const samples = only(run(0.2), 'sample');
      expect(samples.length).toBeGreaterThanOrEqual(19);
      near(samples.at(-1)?.field ?? [], gyroPair.read.field, 1);
      near(samples.at(-1)?.accel ?? [], gyroPair.read.accel, 0);
      return [...new Set(events)].join(' ');
    };
    expect(fault(() => board.magnetometer.powerUp())).toBe('chip-silent');
    expect(fault(() => board.accelerometer.powerUp())).toBe('chip-silent');
    const silence = (isSilent: boolean) => () => void (board.magnetometer.silent = isSilent);
    expect(fault(silence(true), silence(false))).toBe('chip-silent');
    expect(fault(() => board.holdSda(5))).toBe('bus-stuck');
  });
});

test('the committed image for the Pico reads a gyro as well', () => {
  const { read, world, chips } = worldOf(['ICM-20948', 'AK09916']);
  const { run, ask } = runBoard(picoBoard(world, 'usb', { chips }));
  run(0.1);
  ask('hello');
  const lines = run(0.3);
  expect(only(lines, 'hello')[0].gyro).toMatchObject({ name: 'ICM-20948', id: 0xea });
  const samples = only(lines, 'sample');
  expect(samples.length).toBeGreaterThan(28);
  expect(samples.at(-1)).toMatchObject(read.rate ? { accel: read.accel, rate: read.rate } : {});
});
