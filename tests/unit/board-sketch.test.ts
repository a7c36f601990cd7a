import { execFile } from 'node:child_process';
import { existsSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { basename, join } from 'node:path';
import { promisify } from 'node:util';
import { afterAll, describe, expect, test } from 'vitest';
import { units } from './firmwareSources.ts';
import { have } from './tools.ts';

const root = new URL('../../', import.meta.url).pathname;
const board = join(root, 'firmware-proto/board');
const folder = mkdtempSync(join(tmpdir(), 'lodepole-sketch-'));
const sources = units(folder);
afterAll(() => rmSync(folder, { recursive: true }));

const execute = promisify(execFile);

/** Runs a tool that must have nothing to say against what it is given; one call for many files, since starting it takes longest. */
async function run(cwd: string, command: string, ...rest: string[]): Promise<string> {
  const { stdout, stderr } = await execute(command, rest, { cwd, env: { ...process.env, LC_ALL: 'C' } });
  expect(stderr).toBe('');
  return stdout;
}

const warnings = ['-Wall', '-Wextra', '-Werror'];

// Compiled against a stub of the core: the sketch's own sources are sound C++ for that processor, and that is all it shows. Cores
// for these are not packaged by Debian.
describe.concurrent.each([
  ['ARM, such as SAMD21', 'arm-none-eabi-g++', ['-mcpu=cortex-m0plus', '-mthumb', '-D__SAMD21G18A__']],
  ['ARM, such as nRF52840', 'arm-none-eabi-g++', ['-mcpu=cortex-m4', '-mthumb', '-DNRF52840_XXAA']],
  ['RISC-V, such as ESP32-C3', 'riscv64-unknown-elf-g++', ['-march=rv32imc', '-mabi=ilp32', '-DLODEPOLE_HAS_EEPROM']],
  ['Xtensa, such as ESP8266', 'xtensa-lx106-elf-g++', ['-DLODEPOLE_HAS_EEPROM']],
] as const)('the sketch for %s', (_, compiler, flags) => {
  test.skipIf(!have(compiler, 'the sketch is not compiled for it'))('compiles', async () => {
    const own = ['-std=gnu++14', '-ffreestanding', '-fno-exceptions', '-fsyntax-only', '-DARDUINO=10819'];
    await run(
      folder,
      compiler,
      ...own,
      ...flags,
      ...warnings,
      `-I${join(root, 'tests/unit/arduino-stub')}`,
      ...sources,
    );
  });
});

const arduino = '/usr/share/arduino/hardware/arduino/avr';
const canLink =
  have('avr-g++', 'the sketch is not built with its core') && existsSync(`${arduino}/cores/arduino/Arduino.h`);

/** Of the core: what the sketch links nothing of. */
const notNeeded = /^(CDC|PluggableUSB|USBCore|Tone|IPAddress|WInterrupts|WMath|wiring_pulse|wiring_shift)\./;

// With the core itself, as an Arduino-style editor builds it.
describe.skipIf(!canLink)('the sketch with the core for AVR', { concurrent: true }, () => {
  test.each([
    ['Uno and Nano, over our own file of the processor', 'atmega328p', 'standard', 32_256],
    ['Mega, over Wire, Serial and EEPROM', 'atmega2560', 'mega', 253_952],
  ])('builds for %s', async (_, processor, variant, flashBytes) => {
    const libraries = ['Wire/src', 'Wire/src/utility', 'EEPROM/src'].map((name) => join(arduino, 'libraries', name));
    const core = join(arduino, 'cores/arduino');
    const common = [
      ...[`-mmcu=${processor}`, '-DF_CPU=16000000L', '-DARDUINO=10819', '-DARDUINO_ARCH_AVR'],
      ...['-DDECIMAL_DIG=__DECIMAL_DIG__', '-pipe'],
      ...['-Os', '-ffunction-sections', '-fdata-sections', '-fno-exceptions', '-fno-threadsafe-statics'],
      ...[core, join(arduino, 'variants', variant), ...libraries].map((path) => `-I${path}`),
    ];
    const own = join(folder, processor);
    const ofCore = join(folder, `${processor}-core`);
    for (const place of [own, ofCore]) mkdirSync(place);
    const files = [core, ...libraries.slice(0, 2)].flatMap((path) =>
      readdirSync(path)
        .filter((name) => !notNeeded.test(name))
        .map((name) => join(path, name)),
    );
    const ending = (end: string): string[] => files.filter((file) => file.endsWith(end));
    const cpp = ['-std=gnu++14', ...common];
    const sketch = ['-include', 'Arduino.h', '-x', 'c++', '-c', join(board, 'board.ino'), '-o', 'board.ino.o'];
    await run(own, 'avr-g++', ...cpp, ...warnings, '-c', ...sources);
    await run(own, 'avr-g++', ...cpp, ...warnings, ...sketch);
    await run(ofCore, 'avr-gcc', '-std=gnu11', ...common, '-w', '-c', ...ending('.c'));
    await run(ofCore, 'avr-g++', ...cpp, '-w', '-fpermissive', '-c', ...ending('.cpp'));
    const objects = ['.c', '.cpp'].flatMap(ending).map((file) => `${basename(file).replace(/\.\w+$/, '')}.o`);
    await run(ofCore, 'avr-gcc-ar', 'rcs', `../${processor}.a`, ...objects);
    const ours = sources.map((file) => basename(file).replace(/cpp$/, 'o'));
    const link = ['-w', '-Os', `-mmcu=${processor}`, '-Wl,--gc-sections', '-o', 'board.elf', 'board.ino.o'];
    await run(own, 'avr-gcc', ...link, ...ours, `../${processor}.a`, '-lm');
    const [, sizes] = (await run(own, 'avr-size', 'board.elf')).split('\n');
    const [text, data] = sizes.trim().split(/\s+/).map(Number);
    expect(text + data).toBeGreaterThan(5000);
    expect(text + data).toBeLessThan(flashBytes);
  });
});

describe('the library', () => {
  const properties = Object.fromEntries(
    readFileSync(join(board, 'library.properties'), 'utf8')
      .trim()
      .split('\n')
      .map((line) => line.split(/=(.*)/s).slice(0, 2) as [string, string]),
  );
  const { version } = JSON.parse(readFileSync(join(root, 'package.json'), 'utf8')) as { version: string };

  // Arduino library specification, revision 2.2: fields that must be there, and src/ with the header that is named. It is in no
  // catalogue, so that it has no url.
  test('has a manifest with what must be in it, and the version of the package', () => {
    for (const field of [
      'name',
      'version',
      'author',
      'maintainer',
      'sentence',
      'paragraph',
      'category',
      'architectures',
    ])
      expect(properties[field], field).toMatch(/\S/);
    expect(properties.version).toBe(version);
    expect(existsSync(join(board, 'src', properties.includes))).toBe(true);
    expect(readFileSync(join(board, 'examples/lodepole/lodepole.ino'), 'utf8')).toContain(
      `#include <${properties.includes}>`,
    );
  });

  test('gives the firmware the same version', () => {
    expect(readFileSync(join(board, 'src/version.h'), 'utf8')).toContain(`"${version}"`);
  });
});
