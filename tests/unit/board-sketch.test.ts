import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { basename, join } from 'node:path';
import { afterAll, describe, expect, test } from 'vitest';
import { have } from './tools.ts';

const root = new URL('../../', import.meta.url).pathname;
const board = join(root, 'firmware-proto/board');
const sources = ['.', 'chips', 'processors']
  .flatMap((folder) => readdirSync(join(board, 'src', folder)).map((name) => join(board, 'src', folder, name)))
  .filter((path) => path.endsWith('.cpp'));
const folder = mkdtempSync(join(tmpdir(), 'lodepole-sketch-'));
afterAll(() => rmSync(folder, { recursive: true }));

function run(command: string, ...rest: string[]): void {
  const { status, stderr, error } = spawnSync(command, rest, {
    encoding: 'utf8',
    env: { ...process.env, LC_ALL: 'C' },
  });
  expect(error).toBeUndefined();
  expect(stderr).toBe('');
  expect(status).toBe(0);
}

const warnings = ['-Wall', '-Wextra', '-Werror'];

// Compiled against a stub of the core: the sketch's own sources are sound C++ for that processor, and that is all it shows. Cores
// for these are not packaged by Debian.
describe.each([
  ['ARM, such as SAMD21', 'arm-none-eabi-g++', ['-mcpu=cortex-m0plus', '-mthumb', '-D__SAMD21G18A__']],
  ['ARM, such as nRF52840', 'arm-none-eabi-g++', ['-mcpu=cortex-m4', '-mthumb', '-DNRF52840_XXAA']],
  ['RISC-V, such as ESP32-C3', 'riscv64-unknown-elf-g++', ['-march=rv32imc', '-mabi=ilp32', '-DLODEPOLE_HAS_EEPROM']],
  ['Xtensa, such as ESP8266', 'xtensa-lx106-elf-g++', ['-DLODEPOLE_HAS_EEPROM']],
] as const)('the sketch for %s', (_, compiler, flags) => {
  test.skipIf(!have(compiler, 'the sketch is not compiled for it'))('compiles', () => {
    for (const source of sources) {
      const own = ['-std=gnu++14', '-ffreestanding', '-fno-exceptions', '-fsyntax-only', '-DARDUINO=10819'];
      run(compiler, ...own, ...flags, ...warnings, `-I${join(root, 'tests/unit/arduino-stub')}`, source);
    }
  });
});

const arduino = '/usr/share/arduino/hardware/arduino/avr';
const canLink =
  have('avr-g++', 'the sketch is not built with its core') && existsSync(`${arduino}/cores/arduino/Arduino.h`);

// With the core itself, as an Arduino-style editor builds it.
describe.skipIf(!canLink)('the sketch with the core for AVR', () => {
  test.each([
    ['Uno and Nano, over our own file of the processor', 'atmega328p', 'standard', 32_256],
    ['Mega, over Wire, Serial and EEPROM', 'atmega2560', 'mega', 253_952],
  ])('builds for %s', (_, processor, variant, flashBytes) => {
    const libraries = ['Wire/src', 'Wire/src/utility', 'EEPROM/src'].map((name) => join(arduino, 'libraries', name));
    const core = join(arduino, 'cores/arduino');
    const common = [
      ...[
        `-mmcu=${processor}`,
        '-DF_CPU=16000000L',
        '-DARDUINO=10819',
        '-DARDUINO_ARCH_AVR',
        '-DDECIMAL_DIG=__DECIMAL_DIG__',
      ],
      ...['-Os', '-ffunction-sections', '-fdata-sections', '-fno-exceptions', '-fno-threadsafe-statics'],
      ...[core, join(arduino, 'variants', variant), ...libraries].map((path) => `-I${path}`),
    ];
    const objects: string[] = [];
    const compile = (source: string, ...flags: string[]): string => {
      const object = join(folder, `${processor}-${objects.length}-${basename(source)}.o`);
      const isC = source.endsWith('.c');
      const language = isC ? ['-std=gnu11'] : source.endsWith('.S') ? ['-x', 'assembler-with-cpp'] : ['-std=gnu++14'];
      run(
        isC || source.endsWith('.S') ? 'avr-gcc' : 'avr-g++',
        ...language,
        ...common,
        ...flags,
        '-c',
        source,
        '-o',
        object,
      );
      objects.push(object);
      return object;
    };
    for (const source of sources) compile(source, ...warnings);
    const sketch = join(board, 'board.ino');
    const object = join(folder, `${processor}-board.ino.o`);
    run(
      'avr-g++',
      '-std=gnu++14',
      ...common,
      ...warnings,
      '-include',
      'Arduino.h',
      '-x',
      'c++',
      '-c',
      sketch,
      '-o',
      object,
    );
    const ours = [...objects, object];
    objects.length = 0;
    for (const path of [core, ...libraries.slice(0, 2)])
      for (const name of readdirSync(path))
        if (/\.(c|cpp|S)$/.test(name))
          compile(join(path, name), '-w', ...(name.endsWith('.cpp') ? ['-fpermissive'] : []));
    const archive = join(folder, `${processor}.a`);
    run('avr-gcc-ar', 'rcs', archive, ...objects);
    const elf = join(folder, `${processor}.elf`);
    run('avr-gcc', '-w', '-Os', `-mmcu=${processor}`, '-Wl,--gc-sections', '-o', elf, ...ours, archive, '-lm');
    const [, sizes] = spawnSync('avr-size', [elf], { encoding: 'utf8' }).stdout.split('\n');
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

  // Arduino library specification, revision 2.2: fields that must be there, and src/ with the header that is named.
  test('has a manifest with what must be in it, and the version of the package', () => {
    for (const field of [
      'name',
      'version',
      'author',
      'maintainer',
      'sentence',
      'paragraph',
      'category',
      'url',
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
