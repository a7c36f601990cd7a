// node firmware-proto/build.mjs [OUTPUT.hex]: compiles the board's image with Debian's packages
// gcc-avr, avr-libc, binutils-avr and arduino-core-avr. The same sources give the same bytes, wherever they are built.
import { spawnSync } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { basename, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const here = fileURLToPath(new URL('.', import.meta.url));
const arduino = '/usr/share/arduino/hardware/arduino/avr';
const core = join(arduino, 'cores/arduino');
const wire = join(arduino, 'libraries/Wire/src');
const board = join(here, 'board');

const common = [
  ...['-mmcu=atmega328p', '-DF_CPU=16000000L', '-DARDUINO=10819', '-DARDUINO_AVR_NANO', '-DARDUINO_ARCH_AVR'],
  ...['-Os', '-flto', '-ffunction-sections', '-fdata-sections'],
  // The packaged core does not compile with the packaged compiler without it.
  '-DDECIMAL_DIG=__DECIMAL_DIG__',
  ...[core, join(arduino, 'variants/eightanaloginputs'), wire, join(wire, 'utility')].map((path) => `-I${path}`),
];
const languages = {
  c: ['avr-gcc', '-std=gnu11', '-fno-fat-lto-objects'],
  cpp: ['avr-g++', '-std=gnu++11', '-fno-exceptions', '-fno-threadsafe-statics', '-fpermissive'],
  S: ['avr-gcc', '-x', 'assembler-with-cpp'],
  ino: ['avr-g++', '-std=gnu++11', '-fno-exceptions', '-fno-threadsafe-statics', '-include', 'Arduino.h', '-x', 'c++'],
};

function run(command, ...rest) {
  const { error, status, stderr } = spawnSync(command, rest, {
    encoding: 'utf8',
    env: { ...process.env, LC_ALL: 'C', SOURCE_DATE_EPOCH: '0' },
  });
  if (error) throw new Error(`${command}: ${error.message}. On Debian: apt install gcc-avr avr-libc arduino-core-avr`);
  if (status !== 0) throw new Error(`${[command, ...rest].join(' ')}\n${stderr}`);
}

function sourcesIn(folder) {
  return readdirSync(folder)
    .sort()
    .filter((name) => name.split('.').at(-1) in languages)
    .map((name) => join(folder, name));
}

/** Builds the image and returns it as Intel HEX text. Throws an Error with the compiler's words. */
export function buildImage() {
  const folder = mkdtempSync(join(tmpdir(), 'lodepole-build-'));
  try {
    const compile = (source, warnings) => {
      const object = join(folder, `${basename(source)}.o`);
      const [compiler, ...flags] = languages[source.split('.').at(-1)];
      const sourceMap = [`-fdebug-prefix-map=${here}=`];
      run(compiler, ...flags, ...common, ...warnings, ...sourceMap, '-c', source, '-o', object);
      return object;
    };
    const ours = sourcesIn(board).map((source) => compile(source, ['-Wall', '-Wextra', '-Werror']));
    const theirs = [core, wire, join(wire, 'utility')].flatMap(sourcesIn).map((source) => compile(source, ['-w']));
    const archive = join(folder, 'core.a');
    run('avr-gcc-ar', 'rcs', archive, ...theirs);
    const elf = join(folder, 'board.elf');
    run('avr-g++', '-w', '-Os', '-flto', '-mmcu=atmega328p', '-Wl,--gc-sections', '-o', elf, ...ours, archive, '-lm');
    const hex = join(folder, 'board.hex');
    run('avr-objcopy', '-O', 'ihex', '-R', '.eeprom', elf, hex);
    return readFileSync(hex, 'latin1');
  } finally {
    rmSync(folder, { recursive: true });
  }
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const output = process.argv[2] ?? join(here, 'image/lodepole-nano.hex');
  writeFileSync(output, buildImage(), 'latin1');
  process.stderr.write(`${output}\n`);
}
