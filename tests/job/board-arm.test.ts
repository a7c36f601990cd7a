import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import type { ArmBoard } from '../../firmware-proto/virtual/arm/armBoard.ts';
import { microbitBoard, picoBoard, type ArmBoardOptions } from '../../firmware-proto/virtual/arm/boards.ts';
import { picoFlash, type PicoProcessor } from '../../firmware-proto/virtual/arm/picoProcessor.ts';
import { bootCrc } from '../../firmware-proto/virtual/arm/picoRom.ts';
import { parseUf2 } from '../../firmware-proto/virtual/arm/uf2.ts';
import type { Decoded } from '../../firmware-proto/wire.ts';
import { only, runBoard, stillWorld } from './board-run.ts';

const pico = (options?: ArmBoardOptions): ArmBoard => picoBoard(stillWorld, 'usb', options);
const picoUart = (options?: ArmBoardOptions): ArmBoard => picoBoard(stillWorld, 'uart', options);
const microbit = (options?: ArmBoardOptions): ArmBoard => microbitBoard(stillWorld, options);

const events = (lines: readonly Decoded[]): string[] =>
  only(lines, 'event').map(({ code, count }) => `${code} ${count}`);

const settled = (create: () => ArmBoard) => {
  const image = runBoard(create());
  image.run(0.1);
  image.ask('hello');
  image.run(0.1);
  return image;
};

describe.each([
  ['rp2040', 'by USB', pico],
  ['rp2040', 'by UART', picoUart],
  ['nrf52833', 'by its interface chip', microbit],
] as const)('the committed image for %s, heard %s', (cpu, _, create) => {
  test('says hello and particulars, and samples a hundred times a second to the microsecond', () => {
    const { run, ask, board } = runBoard(create());
    run(0.1);
    ask('hello');
    const about = run(0.05);
    expect(only(about, 'hello')[0]).toMatchObject({
      accelerometer: { name: 'LSM303AGR', id: 0x33, orientation: '+X+Y+Z', gPerCount: 0.00098 },
      magnetometer: { name: 'LSM303AGR', id: 0x40, ntPerCount: 150 },
      sampleHz: 100,
    });
    expect(only(about, 'particulars')).toEqual([
      {
        kind: 'particulars',
        processor: cpu,
        light: true,
        isKept: false,
        accelerometerAt: 0x19,
        magnetometerAt: 0x1e,
      },
    ]);
    const instants: number[] = [];
    board.accelerometer.onOutputRead = () => instants.push(board.nowS);
    const lines = run(0.5);
    const samples = only(lines, 'sample');
    expect(samples.length).toBeGreaterThanOrEqual(49);
    expect(only(lines, 'bad')).toEqual([]);
    const { accel, field, temperature } = stillWorld.countsAt(0);
    for (const [index, sample] of samples.entries()) {
      expect(sample).toMatchObject({ seq: samples[0].seq + index, accel, field, temperature });
      expect(Math.abs(sample.micros - samples[0].micros - 10_000 * index)).toBeLessThan(20);
    }
    const offsets = instants.map((instant, index) => (instant - instants[0] - index * 0.01) * 1e6);
    expect(Math.max(...offsets) - Math.min(...offsets)).toBeLessThan(40);
    expect(board.busyS / board.nowS).toBeLessThan(0.2);
  });

  test('answers requests: rate, refusals, self-test', () => {
    const { run, ask, lines } = settled(create);
    ask('rate 25');
    expect(only(run(0.1), 'acknowledged')).toEqual([{ kind: 'acknowledged', request: 'rate' }]);
    expect(only(run(0.4), 'sample').length).toBe(10);
    ask('rate 99');
    ask('AT+GCAP');
    expect(run(0.05).filter(({ kind }) => kind !== 'sample')).toEqual([
      { kind: 'refused', request: 'rate', reason: 'range' },
    ]);
    if (create === picoUart) return; // the program is that of the line before
    ask('selftest');
    const from = lines.length;
    const said = () => lines.slice(from).map(({ line }) => line);
    for (let step = 0; step < 40 && only(said(), 'acknowledged').length === 0; step += 1) run(0.05);
    const rows = only(said(), 'test');
    expect(rows.length).toBe(8);
    expect(rows.every(({ passed }) => passed)).toBe(true);
  });
});

describe.each([
  ['rp2040', pico],
  ['nrf52833', microbit],
] as const)('the committed image for %s', (_, create) => {
  test('a silent chip and a stuck bus are told, and found again', () => {
    const { run, board } = settled(create);
    board.magnetometer.silent = true;
    expect(events(run(1.1))[0]).toMatch(/^chip-silent/);
    board.magnetometer.silent = false;
    run(0.2);
    expect(only(run(0.2), 'sample').length).toBeGreaterThanOrEqual(19);
    board.processor.bus.hold(5);
    expect(events(run(1.1))).toContain('bus-stuck 1');
    let left = 1;
    board.accelerometer.onOutputRead = () => left-- === 1 && board.processor.bus.hold(5);
    expect(events(run(1.1))).toContain('bus-stuck 2');
    expect(only(run(0.2), 'sample').length).toBeGreaterThanOrEqual(19);
  });

  test('a program that hangs is bitten by the watchdog and starts again as the same board', () => {
    const { run, board, lines, ask } = settled(create);
    board.processor.hang();
    const hungS = board.nowS;
    const after = run(1.8);
    expect(events(after)).toEqual(['watchdog 1']);
    ask('hello');
    run(0.05);
    const numbers = only(
      lines.map(({ line }) => line),
      'hello',
    ).map(({ boardId }) => boardId);
    expect(new Set(numbers).size).toBe(1);
    const back = lines.find(({ line, atS }) => line.kind === 'sample' && atS > hungS + 0.1);
    expect((back?.atS ?? 99) - hungS).toBeLessThan(0.8);
  });

  test('the light flashes', () => {
    const { run, board } = settled(create);
    let on = 0;
    for (let step = 0; step < 200; step += 1) {
      run(0.01);
      on += Number(board.lightIsOn);
    }
    expect(on).toBe(2);
  });
});

describe.each([
  ['rp2040', pico],
  ['nrf52833', microbit],
] as const)('settings in the flash of %s', (_, create) => {
  const about = (board: ArmBoard) => {
    const { run, ask } = runBoard(board);
    run(0.06);
    ask('hello');
    const [hello] = only(run(0.03), 'hello');
    return {
      number: hello.boardId,
      axes: hello.accelerometer.orientation + hello.magnetometer.orientation,
      hz: hello.sampleHz,
    };
  };

  test('outlive the supply, whenever it fails while they are kept', () => {
    const board = create();
    const { run, ask } = runBoard(board);
    run(0.06);
    for (const request of ['accdir -Y+X+Z', 'magdir +Z+X+Y', 'rate 50', 'keep']) ask(request);
    expect(only(run(0.3), 'acknowledged').at(-1)?.request).toBe('keep');
    board.restart('power');
    const cuts: Uint8Array[] = [];
    const cut = (): void => void cuts.push(board.processor.flash.slice());
    const { processor } = board as { processor: { rom?: { onFlashWrite(): void }; flashBlock?: { onWrite(): void } } };
    if (processor.rom) processor.rom.onFlashWrite = cut;
    if (processor.flashBlock) processor.flashBlock.onWrite = cut;
    run(0.06);
    for (const request of ['accdir +X-Y-Z', 'rate 20', 'keep']) ask(request);
    run(0.3);
    expect(cuts.length).toBeGreaterThanOrEqual(2);
    const { number } = about(create({ flash: board.processor.flash.slice(), seed: 1 }));
    for (const flash of cuts) expect(about(create({ flash }))).toEqual({ number, axes: '-Y+X+Z+Z+X+Y', hz: 50 });
    expect(about(create({ flash: board.processor.flash }))).toEqual({ number, axes: '+X-Y-Z+Z+X+Y', hz: 20 });
  });

  test('a new board makes its own number, and no two are the same', () => {
    const numbers = [1, 2, 3].map((seed) => about(create({ seed })).number);
    expect(new Set(numbers).size).toBe(3);
  });
});

describe('the image for the Pico', () => {
  const file = new Uint8Array(readFileSync(new URL('../../firmware-proto/image/lodepole-pico.uf2', import.meta.url)));
  const { family, start, bytes } = picoFlash;

  // Magic numbers and family: github.com/microsoft/uf2, README.md and utils/uf2families.json (RP2040).
  test('is in the USB Flashing Format, for its family only', () => {
    const words = new DataView(file.buffer, 0, 32);
    const head = Array.from({ length: 8 }, (_, index) => words.getUint32(4 * index, true).toString(16));
    expect(head).toEqual([
      'a324655',
      '9e5d5157',
      '2000',
      '10000000',
      '100',
      '0',
      (file.length / 512).toString(16),
      'e48bff56',
    ]);
    expect(() => parseUf2(file, 0x68ed2b88, start, bytes)).toThrow(/block 1: for another family/);
    expect(() => parseUf2(file.subarray(0, 1000), family, start, bytes)).toThrow(/whole blocks/);
  });

  // Check value of CRC-32/MPEG-2, which is the boot ROM's: catalogue of parametrised CRC algorithms (G. Cook).
  test('starts with a boot stage 2 that the boot ROM takes, and with no other', () => {
    expect(bootCrc(Buffer.from('123456789'))).toBe(0x0376e6e7);
    const flash = parseUf2(file, family, start, bytes);
    flash[8] ^= 1;
    expect(() => pico({ flash })).toThrow(/wrong CRC/);
  });

  test('touches no register that the emulated processor does not have', () => {
    const board = pico();
    const { run, ask } = runBoard(board);
    run(0.1);
    ask('keep');
    run(0.3);
    expect((board.processor as PicoProcessor).complaints).toEqual([]);
  });
});
