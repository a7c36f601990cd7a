import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { EEPROMMemoryBackend } from 'avr8js';
import { afterAll, expect, test } from 'vitest';
import { RegisterChip } from '../../firmware-proto/virtual/chips/registerChip.ts';
import { parseIntelHex } from '../../firmware-proto/virtual/intelHex.ts';
import { Processor, programBytes } from '../../firmware-proto/virtual/processor.ts';
import { decodeLine } from '../../firmware-proto/wire.ts';

const header = '/usr/include/simavr/sim_avr.h';
const canRun = existsSync(header);
if (!canRun) console.warn(`SKIPPED, ${header} is missing (libsimavr-dev): the image is run on one emulator only`);

const image = new URL('../../firmware-proto/image/lodepole-nano.hex', import.meta.url).pathname;
const source = new URL('board-simavr.c', import.meta.url).pathname;
const folder = mkdtempSync(join(tmpdir(), 'lodepole-simavr-'));
afterAll(() => rmSync(folder, { recursive: true }));

const seconds = 2.2;
const requests = [
  { atS: 0.213, text: 'hello' },
  { atS: 0.413, text: 'rate 25' },
  { atS: 0.513, text: 'accdir +Y+X+Z' },
  { atS: 0.613, text: 'magdir +Z+X+Y' },
  { atS: 0.713, text: 'selftest' },
  { atS: 2.113, text: 'hello' },
];

/** A chip that holds what it is given, always fresh, and remembers what is written to it. */
class HeldChip extends RegisterChip {
  readonly address: number;
  readonly byBit7: boolean;
  private readonly written: string[];

  constructor(address: number, byBit7: boolean, held: Record<number, readonly number[]>, written: string[]) {
    super();
    [this.address, this.byBit7, this.written] = [address, byBit7, written];
    for (const [first, bytes] of Object.entries(held)) this.registers.set(bytes, Number(first));
  }
  get bytes(): readonly number[] {
    return [...this.registers];
  }
  protected incrementsAfter(addressByte: number): boolean {
    return !this.byBit7 || (addressByte & 0x80) !== 0;
  }
  protected writeRegister(register: number, value: number): void {
    this.written.push([this.address, register, value].map(hex).join(' '));
  }
  protected readRegister(register: number): number {
    return this.registers[register];
  }
}

const hex = (byte: number): string => byte.toString(16).toUpperCase().padStart(2, '0');

/** An LSM303AGR: acceleration 101, 202, 1003 and temperature -1280; field -11, 222, -3333. */
const chipsThatNote = (written: string[]): HeldChip[] => [
  new HeldChip(0x19, true, { 0x0c: [0, 0xfb], 0x0f: [0x33], 0x27: [0x0f, 0x50, 6, 0x60, 0xf3, 0xb0, 0x3e] }, written),
  new HeldChip(0x1e, false, { 0x4f: [0x40], 0x67: [0x0f, 0xf5, 0xff, 0x22, 0xff, 0xfb, 0xf2] }, written),
];

/** A board that has its number and nothing kept. */
function eepromWithNumber(): Uint8Array {
  const backend = new EEPROMMemoryBackend(1024);
  onOurs(backend, 0.05, [], []);
  return backend.memory;
}

function onOurs(eeprom: EEPROMMemoryBackend, untilS: number, asked: typeof requests, written: string[]): string {
  let said = '';
  const processor = new Processor({
    program: parseIntelHex(readFileSync(image, 'latin1'), programBytes),
    cause: 'power',
    memory: new Uint8Array(2048),
    eeprom,
    devices: chipsThatNote(written),
    analogNoise: () => 413,
    onByte: (byte) => (said += String.fromCharCode(byte)),
  });
  for (const { atS, text } of asked) {
    processor.runTo(atS);
    processor.feed(Buffer.from(`${text}\n`));
  }
  processor.runTo(untilS);
  return said;
}

function onSimavr(eeprom: Uint8Array): { said: string; written: string[] } {
  const program = join(folder, 'board-simavr');
  const built = spawnSync('gcc', ['-O1', '-Wall', '-Wextra', '-Werror', '-o', program, source, '-lsimavr'], {
    encoding: 'utf8',
  });
  expect(built.stderr).toBe('');
  const input = [
    `eeprom ${[...eeprom].map(hex).join(' ')}`,
    ...chipsThatNote([]).map(
      (chip) => `chip ${hex(chip.address)} ${Number(chip.byBit7)} ${chip.bytes.map(hex).join(' ')}`,
    ),
    ...requests.map(({ atS, text }) => `send ${atS} ${text}`),
    '',
  ].join('\n');
  const { stdout, stderr, status } = spawnSync(program, [image, String(seconds)], { input, encoding: 'latin1' });
  expect(status, stderr).toBe(0);
  return { said: stdout, written: stderr.trim().split('\n') };
}

/** Samples without their microseconds, those apart, and all other lines as they are: an answer may come before a sample or after. */
function sorted(said: string) {
  const whole = said.split('\r\n').slice(0, -1);
  const samples: string[] = [];
  const micros: number[] = [];
  for (const text of whole) {
    const line = decodeLine(text);
    expect(line.kind, text).not.toBe('bad');
    if (line.kind !== 'sample') continue;
    micros.push(line.micros);
    samples.push(text.replace(` ${line.micros} `, ' ').replace(/ \*.*/, ''));
  }
  return { samples, micros, others: whole.filter((text) => !text.startsWith('S ')) };
}

// simavr, Debian 1.6: another emulator of the same processor, by other people. Its two-wire interface tells an address for writing
// with a data byte's status, which board-simavr.c puts right; its EEPROM is written in no time, so that nothing is kept here (the
// samples that keeping costs would be missing on one side); an instant may be told some microseconds apart.
test.skipIf(!canRun)(
  'an independent emulator runs the same image to the same lines and the same writes on the bus',
  () => {
    const eeprom = eepromWithNumber();
    const written: string[] = [];
    const backend = new EEPROMMemoryBackend(1024);
    backend.memory.set(eeprom);
    const ours = sorted(onOurs(backend, seconds, requests, written));
    const run = onSimavr(eeprom);
    const theirs = sorted(run.said);
    expect(theirs.others).toEqual(ours.others);
    expect(ours.others.map((text) => text[0]).join('')).toMatch(/^HP.*HP.*A.*N.*A.*HP.*T{8}AHP$/);
    expect(run.written).toEqual(written);
    const count = Math.min(ours.samples.length, theirs.samples.length);
    expect(count).toBeGreaterThan(50);
    expect(ours.samples.length + theirs.samples.length - 2 * count).toBeLessThanOrEqual(2);
    expect(theirs.samples.slice(0, count)).toEqual(ours.samples.slice(0, count));
    for (let at = 0; at < 40; at += 1) expect(Math.abs(theirs.micros[at] - ours.micros[at])).toBeLessThan(100);
  },
);
