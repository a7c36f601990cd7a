import { describe, expect, test } from 'vitest';
import { FastBoard } from '../../firmware-proto/virtual/fastBoard.ts';
import { createWorld } from '../../firmware-proto/virtual/world.ts';
import type { World } from '../../firmware-proto/virtual/world.ts';
import { decodeLine, type Decoded } from '../../firmware-proto/wire.ts';
import { only, runImage, stillWorld } from './board-run.ts';

const badLines = (lines: readonly Decoded[]): Decoded[] => only(lines, 'bad');

describe('the committed image, on the emulated processor', () => {
  test('says hello at start-up, and once a second until the first request', () => {
    const { run, ask } = runImage();
    const [first, ...rest] = run(2.2);
    expect(first).toMatchObject({
      kind: 'hello',
      protocol: 1,
      accelerometer: { name: 'LSM303AGR', id: 0x33, gPerCount: 0.00098 },
      magnetometer: { name: 'LSM303AGR', id: 0x40, ntPerCount: 150 },
      temperature: { cPerCount: 1 / 256, cAtZero: 25 },
      sampleHz: 100,
    });
    expect(only(rest, 'hello').length).toBe(2);
    ask('hello');
    const answered = run(1.5);
    expect(only(answered, 'hello').length).toBe(1);
    expect([...badLines(rest), ...badLines(answered)]).toEqual([]);
  });

  test('sends what the chips measure a hundred times a second, in right-handed axes', () => {
    const { run } = runImage();
    const samples = only(run(1.1), 'sample');
    expect(samples.length).toBeGreaterThan(100);
    const { accel, field, temperature } = stillWorld.countsAt(0);
    for (const [index, sample] of samples.entries()) {
      expect(sample.seq).toBe(index);
      expect([...sample.accel]).toEqual(accel);
      expect([...sample.field]).toEqual(field);
      expect(sample.temperature).toBe(temperature);
    }
    const steps = samples.slice(1).map((sample, index) => sample.micros - samples[index].micros);
    expect(Math.min(...steps)).toBeGreaterThan(9900);
    expect(Math.max(...steps)).toBeLessThan(10100);
  });

  test('holds the ends of the number range', () => {
    const extreme: World = {
      ...stillWorld,
      countsAt: () => ({ accel: [2047, 2047, -2048], field: [32767, -32768, -32768], temperature: -32768 }),
    };
    const [sample] = only(runImage({}, extreme).run(0.2), 'sample');
    expect([...sample.accel, ...sample.field]).toEqual([2047, 2047, -2048, 32767, -32767, -32768]);
    expect(sample.temperature).toBe(-32768);
  });

  test('rates of 10, 20, 25, 50 and 100: so many samples a second, without a gap', () => {
    const { run, ask } = runImage();
    run(0.1);
    for (const hz of [10, 20, 25, 50, 100]) {
      ask(`rate ${hz}`);
      expect(only(run(0.15), 'acknowledged')).toEqual([{ kind: 'acknowledged', request: 'rate' }]);
      const samples = only(run(0.6), 'sample');
      expect(samples.length).toBeGreaterThanOrEqual(0.6 * hz - 1);
      expect(samples.length).toBeLessThanOrEqual(0.6 * hz + 1);
      for (const [index, sample] of samples.slice(1).entries()) {
        expect(sample.seq - samples[index].seq).toBe(1);
        expect(Math.abs(sample.micros - samples[index].micros - 1e6 / hz)).toBeLessThan(100);
      }
      ask('hello');
      expect(only(run(0.1), 'hello')).toMatchObject([{ sampleHz: hz }]);
    }
  });

  test('refuses a rate it does not know, and says nothing to a line it does not know', () => {
    const { run, ask } = runImage();
    run(0.1);
    ask('rate 99');
    expect(only(run(0.1), 'refused')).toEqual([{ kind: 'refused', request: 'rate', reason: 'range' }]);
    for (const line of ['AT+GCAP', '', '\x7e\x00\x78\xf0', 'rate', 'x'.repeat(300)]) ask(line);
    run(0.05); // the particulars after the last hello
    expect(new Set(run(0.5).map(({ kind }) => kind))).toEqual(new Set(['sample']));
    ask('hello');
    expect(only(run(0.1), 'hello').length).toBe(1);
  });

  test('self-test passes on sound chips and samples pause meanwhile', () => {
    const { run, ask } = runImage();
    run(0.1);
    ask('selftest');
    const lines = run(2);
    const rows = only(lines, 'test');
    expect(rows.map(({ name, passed }) => `${name} ${passed}`)).toEqual(
      ['accel-id', 'field-id', 'accel-x', 'accel-y', 'accel-z', 'field-x', 'field-y', 'field-z'].map(
        (name) => `${name} true`,
      ),
    );
    // The chips are pushed by 400 mg and 200 mG; limits in counts: 68 to 1440 mg of 0.98, 15 to 500 mG of 1.5.
    expect(rows[2]).toMatchObject({ value: 408, low: 70, high: 1469 });
    expect(rows[5]).toMatchObject({ value: 133, low: 10, high: 333 });
    expect(only(lines, 'acknowledged')).toEqual([{ kind: 'acknowledged', request: 'selftest' }]);
    const kinds = lines.map(({ kind }) => kind);
    const [from, to] = [kinds.indexOf('test'), kinds.indexOf('acknowledged')];
    expect(kinds.slice(from, to)).not.toContain('sample');
    const samples = only(lines, 'sample');
    expect(samples.length).toBeLessThan(85);
    const { accel, field } = stillWorld.countsAt(0);
    expect(samples.at(-1)).toMatchObject({ accel, field }); // not pushed any more
    for (const [index, sample] of samples.slice(1).entries()) expect(sample.seq - samples[index].seq).toBe(1);
  });

  test('self-test fails on seized sensors', () => {
    const { board, run, ask } = runImage();
    board.accelerometer.seized = true;
    board.magnetometer.seized = true;
    ask('selftest');
    expect(only(run(2), 'test').filter(({ passed }) => !passed).length).toBe(6);
  });

  test('self-test ends as failed on a chip that does not answer', () => {
    const { board, run, ask } = runImage();
    run(0.1);
    board.magnetometer.silent = true;
    ask('selftest');
    const lines = run(1);
    expect(only(lines, 'test').find(({ name }) => name === 'field-id')).toMatchObject({ passed: false, value: 0 });
    expect(only(lines, 'acknowledged').length).toBe(1);
  });

  test('a new board makes its own number, keeps it, and no two are the same', () => {
    const idOf = (options: { seed?: number; eeprom?: Uint8Array }) => {
      const { board, run } = runImage(options);
      return { id: only(run(0.1), 'hello')[0].boardId, eeprom: board.eeprom };
    };
    const made = Array.from({ length: 8 }, (_, seed) => idOf({ seed }));
    expect(new Set(made.map(({ id }) => id)).size).toBe(8);
    expect(idOf({ seed: 99, eeprom: made[3].eeprom }).id).toBe(made[3].id);
    const damaged = Uint8Array.from(made[3].eeprom);
    damaged[1019] ^= 1;
    expect(idOf({ seed: 99, eeprom: damaged }).id).not.toBe(made[3].id);
  });
});

test.each(['orchard', 'woolshed'] as const)('in the scene %s the image tells the same as the fast board', (scene) => {
  const mean = (lines: readonly Decoded[]): number[] => {
    const samples = only(lines, 'sample').map(({ accel, field, temperature }) => [...accel, ...field, temperature]);
    expect(samples.length).toBeGreaterThan(90);
    return samples[0].map((_, index) => samples.reduce((sum, sample) => sum + sample[index], 0) / samples.length);
  };
  const fast = new FastBoard(createWorld(scene, { seed: 5 }));
  const lines: Decoded[] = [];
  fast.onBytes((bytes) => {
    lines.push(
      ...Buffer.from(bytes)
        .toString('latin1')
        .trimEnd()
        .split('\n')
        .map((line) => decodeLine(line)),
    );
  });
  fast.stepTo(1.05);
  const ofFast = mean(lines);
  const ofImage = mean(runImage({}, createWorld(scene, { seed: 5 })).run(1.1));
  for (let axis = 0; axis < 3; axis += 1) expect(Math.abs(ofImage[axis] - ofFast[axis])).toBeLessThan(2);
  for (let axis = 3; axis < 6; axis += 1) expect(Math.abs(ofImage[axis] - ofFast[axis])).toBeLessThan(2);
  expect(Math.abs(ofImage[6] - ofFast[6])).toBeLessThan(64); // the chip's thermometer has steps of a quarter of a degree
});

test('sampling instants and load, a short run of what the bench measures', () => {
  const { board, run, ask } = runImage();
  ask('hello');
  const instants: number[] = [];
  board.accelerometer.onOutputRead = () => instants.push(board.nowS);
  run(0.2);
  instants.length = 0;
  const busyS = board.busyS;
  run(2);
  const offsets = instants.map((instant, index) => instant - instants[0] - index * 0.01);
  expect(instants.length).toBe(200);
  expect((Math.max(...offsets) - Math.min(...offsets)) * 1e6).toBeLessThan(100);
  expect((board.busyS - busyS) / 2).toBeLessThan(0.5);
});
