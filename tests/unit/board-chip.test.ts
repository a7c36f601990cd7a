import { describe, expect, test } from 'vitest';
import type { RawCounts } from '../../firmware-proto/virtual/rawCounts.ts';
import { Lsm303agrAccelerometer } from '../../firmware-proto/virtual/chips/lsm303agrAccelerometer.ts';
import { Lsm303agrMagnetometer } from '../../firmware-proto/virtual/chips/lsm303agrMagnetometer.ts';
import type { TwoWireDevice } from '../../firmware-proto/virtual/twoWire.ts';

// Addresses, identities, bits, scales and limits: ST DocID027765 (LSM303AGR) as given by ST's public driver
// STMems_Standard_C_drivers/lsm303agr_STdC (lsm303agr_reg.h, lsm303agr_self_test.c).

function write(chip: TwoWireDevice, register: number, ...bytes: number[]): void {
  chip.start(true);
  for (const byte of [register, ...bytes]) expect(chip.write(byte)).toBe(true);
  chip.stop();
}

function read(chip: TwoWireDevice, register: number, count: number): number[] {
  chip.start(true);
  chip.write(register);
  chip.start(false);
  const bytes = Array.from({ length: count }, () => chip.read());
  chip.stop();
  return bytes;
}

const words = (bytes: readonly number[]): number[] =>
  [0, 1, 2].map((axis) => ((bytes[2 * axis] | (bytes[2 * axis + 1] << 8)) << 16) >> 16);

function world() {
  const state = {
    nowS: 0,
    counts: { accel: [101, -202, 1003], field: [-11, 222, -3333], temperature: -1280 } as RawCounts,
    asked: [] as number[],
  };
  const countsAt = (worldS: number): RawCounts => {
    state.asked.push(worldS);
    return state.counts;
  };
  return { state, countsAt, nowS: () => state.nowS };
}

function accelerometer() {
  const { state, countsAt, nowS } = world();
  return { state, chip: new Lsm303agrAccelerometer({ countsAt, nowS, clockRatio: 1 }) };
}

function magnetometer() {
  const { state, countsAt, nowS } = world();
  return { state, chip: new Lsm303agrMagnetometer({ countsAt, nowS, clockRatio: 1 }) };
}

describe('the accelerometer at register level', () => {
  test('answers at 0x19 with WHO_AM_I_A 0x33', () => {
    const { chip } = accelerometer();
    expect(chip.address).toBe(0x19);
    expect(read(chip, 0x0f, 1)).toEqual([0x33]);
  });

  test('goes on to the next register only when bit 7 of the address is set', () => {
    const { chip } = accelerometer();
    write(chip, 0x20 | 0x80, 0x57, 0x01, 0x02);
    expect(read(chip, 0x20 | 0x80, 3)).toEqual([0x57, 0x01, 0x02]);
    expect(read(chip, 0x20, 3)).toEqual([0x57, 0x57, 0x57]);
    write(chip, 0x20, 0x47, 0x37);
    expect(read(chip, 0x20 | 0x80, 2)).toEqual([0x37, 0x01]);
  });

  test('has no data in power-down, and keeps the old data when it is powered down again', () => {
    const { state, chip } = accelerometer();
    state.nowS = 1;
    expect(read(chip, 0x27 | 0x80, 7)).toEqual([0, 0, 0, 0, 0, 0, 0]);
    write(chip, 0x23, 0x88);
    write(chip, 0x20, 0x57);
    state.nowS = 1.015;
    const before = read(chip, 0x28 | 0x80, 6);
    expect(words(before)).toEqual([101 * 16, 202 * 16, 1003 * 16]); // y of the chip runs against y of the board
    write(chip, 0x20, 0x07);
    state.counts = { ...state.counts, accel: [1, 2, 3] };
    state.nowS = 5;
    expect(read(chip, 0x27 | 0x80, 7)).toEqual([0, ...before]);
  });

  test.each([
    [1, 1],
    [2, 10],
    [3, 25],
    [4, 50],
    [5, 100],
    [6, 200],
    [7, 400],
    [8, 1620],
    [9, 1344],
  ])('takes samples at its output data rate: ODR = %i gives %i Hz', (odr, hz) => {
    const { state, chip } = accelerometer();
    write(chip, 0x20, (odr << 4) | 7);
    for (let tick = 1; tick <= 40_000; tick += 1) {
      state.nowS = tick / 20_000;
      read(chip, 0x27, 1);
    }
    expect(state.asked.length).toBe(2 * hz);
    expect(state.asked[0]).toBeCloseTo(1 / hz, 9);
    expect(state.asked.at(-1)).toBeCloseTo(2, 9);
  });

  test.each([
    ['high resolution, +-2 g', 0x88, 0x57, [101, 202, 1003]],
    ['normal mode: 10 bit', 0x80, 0x57, [100, 200, 1000]],
    ['low power: 8 bit', 0x80, 0x5f, [96, 192, 992]],
    ['+-4 g: 1.95 mg', 0x98, 0x57, [51, 102, 504]],
    ['+-8 g: 3.91 mg', 0xa8, 0x57, [25, 51, 251]],
    ['+-16 g: 11.72 mg', 0xb8, 0x57, [8, 17, 84]],
  ])('%s', (_, control4, control1, expected) => {
    const { state, chip } = accelerometer();
    write(chip, 0x23, control4);
    write(chip, 0x20, control1);
    state.nowS = 0.02;
    expect(words(read(chip, 0x28 | 0x80, 6)).map((word) => word >> 4)).toEqual(expected);
  });

  test('stops at the end of its range', () => {
    const { state, chip } = accelerometer();
    state.counts.accel = [5000, 5000, -5000];
    write(chip, 0x23, 0x88);
    write(chip, 0x20, 0x57);
    state.nowS = 0.02;
    expect(words(read(chip, 0x28 | 0x80, 6))).toEqual([2047 * 16, -2048 * 16, -2048 * 16]);
  });

  test('data-ready and overrun bits', () => {
    const { state, chip } = accelerometer();
    write(chip, 0x20, 0x57);
    state.nowS = 0.012;
    expect(read(chip, 0x27, 1)).toEqual([0x0f]);
    read(chip, 0x28 | 0x80, 4);
    expect(read(chip, 0x27, 1)).toEqual([0x04]);
    read(chip, 0x2c | 0x80, 2);
    expect(read(chip, 0x27, 1)).toEqual([0]);
    state.nowS = 0.022;
    read(chip, 0x27, 1);
    state.nowS = 0.032;
    expect(read(chip, 0x27, 1)).toEqual([0xff]);
  });

  test.each([
    [0x88, 'one sample'],
    [0x08, 'torn'],
  ])('with CTRL_REG4_A = %i the two bytes of an axis are %s', (control4, what) => {
    const { state, chip } = accelerometer();
    state.counts.accel = [0x0ff, 0, 0];
    write(chip, 0x23, control4);
    write(chip, 0x20, 0x57);
    state.nowS = 0.012;
    const [low] = read(chip, 0x28, 1);
    state.counts.accel = [0x100, 0, 0];
    state.nowS = 0.022;
    const [high] = read(chip, 0x29, 1);
    expect((low | (high << 8)) >> 4).toBe(what === 'torn' ? 0x10f : 0x0ff);
    expect(words(read(chip, 0x28 | 0x80, 6))[0] >> 4).toBe(0x100);
  });

  test('self-test moves every axis by something between 68 and 1440 mg, either way', () => {
    const { state, chip } = accelerometer();
    state.counts.accel = [0, 0, 1020];
    const measure = (control4: number): number[] => {
      write(chip, 0x23, control4);
      state.nowS += 0.02;
      return words(read(chip, 0x28 | 0x80, 6)).map((word) => (word >> 4) * 0.98);
    };
    write(chip, 0x20, 0x57);
    const [rest, up, down] = [measure(0x88), measure(0x8a), measure(0x8c)];
    for (let axis = 0; axis < 3; axis += 1) {
      for (const [moved, sign] of [
        [up, 1],
        [down, -1],
      ] as const) {
        expect(sign * (moved[axis] - rest[axis])).toBeGreaterThan(68);
        expect(sign * (moved[axis] - rest[axis])).toBeLessThan(1440);
      }
    }
  });

  test('shows its temperature only with TEMP_EN and block data update, 1 degree in 256 counts', () => {
    const { state, chip } = accelerometer();
    const temperature = (): number => {
      state.nowS += 0.02;
      read(chip, 0x27, 1);
      const [low, high] = read(chip, 0x0c | 0x80, 2);
      return ((low | (high << 8)) << 16) >> 16;
    };
    write(chip, 0x20, 0x57);
    expect(temperature()).toBe(0);
    write(chip, 0x1f, 0xc0);
    expect(temperature()).toBe(0);
    write(chip, 0x23, 0x88);
    expect(temperature()).toBe(-1280);
  });
});

describe('the magnetometer at register level', () => {
  test('answers at 0x1E with WHO_AM_I_M 0x40, idle after power-up', () => {
    const { state, chip } = magnetometer();
    expect(chip.address).toBe(0x1e);
    expect(read(chip, 0x4f, 1)).toEqual([0x40]);
    expect(read(chip, 0x60, 3)).toEqual([0x03, 0, 0]);
    state.nowS = 1;
    expect(read(chip, 0x67, 7)).toEqual([0, 0, 0, 0, 0, 0, 0]);
  });

  test('goes on to the next register always', () => {
    const { state, chip } = magnetometer();
    write(chip, 0x60, 0x8c, 0x03, 0x10);
    expect(read(chip, 0x60, 3)).toEqual([0x8c, 0x03, 0x10]);
    expect(read(chip, 0x60 | 0x80, 3)).toEqual([0x8c, 0x03, 0x10]);
    state.nowS = 0.012;
    expect(words(read(chip, 0x68, 6))).toEqual([-11, -222, -3333]); // y of the chip runs against y of the board
  });

  test.each([
    [0, 10],
    [1, 20],
    [2, 50],
    [3, 100],
  ])('takes samples at its output data rate: ODR = %i gives %i Hz', (odr, hz) => {
    const { state, chip } = magnetometer();
    write(chip, 0x60, odr << 2);
    for (let tick = 1; tick <= 4000; tick += 1) {
      state.nowS = tick / 2000;
      read(chip, 0x67, 1);
    }
    expect(state.asked.length).toBe(2 * hz);
  });

  test('a single measurement, then idle', () => {
    const { state, chip } = magnetometer();
    write(chip, 0x60, 0x0d);
    state.nowS = 0.1;
    expect(read(chip, 0x67, 1)).toEqual([0x0f]);
    expect(read(chip, 0x60, 1)).toEqual([0x0f]);
    state.nowS = 0.2;
    read(chip, 0x67, 1);
    expect(state.asked.length).toBe(1);
  });

  test('a soft reset puts the settings back', () => {
    const { chip } = magnetometer();
    write(chip, 0x60, 0x8c, 0x03, 0x12);
    write(chip, 0x60, 0x20);
    expect(read(chip, 0x60, 3)).toEqual([0x03, 0, 0]);
  });

  test('self-test moves every axis by something between 15 and 500 mG', () => {
    const { state, chip } = magnetometer();
    const measure = (control: number): number[] => {
      write(chip, 0x62, control);
      state.nowS += 0.02;
      return words(read(chip, 0x68, 6)).map((word) => word * 1.5);
    };
    write(chip, 0x60, 0x8c);
    const [rest, pushed] = [measure(0x10), measure(0x12)];
    for (let axis = 0; axis < 3; axis += 1) {
      expect(pushed[axis] - rest[axis]).toBeGreaterThan(15);
      expect(pushed[axis] - rest[axis]).toBeLessThan(500);
    }
  });

  test('subtracts its hard-iron registers', () => {
    const { state, chip } = magnetometer();
    write(chip, 0x45, 0xff, 0xff, 0x00, 0x01); // x: -1, y: 256
    write(chip, 0x60, 0x8c);
    state.nowS = 0.02;
    expect(words(read(chip, 0x68, 6))).toEqual([-10, -478, -3333]);
  });
});
