// node firmware-proto/build.mjs [FOLDER]: builds the images of every processor with Debian's compilers into FOLDER (image/) and
// prints how much flash and memory each takes. The same sources give the same bytes, wherever they are built.
import { spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

const here = fileURLToPath(new URL('.', import.meta.url));
const sourceFolder = join(here, 'board/src');

/** The one place of the version, of the program and of every image. */
export const { version } = JSON.parse(readFileSync(join(here, '../package.json'), 'utf8'));

const warnings = ['-Wall', '-Wextra', '-Werror'];
const small = ['-Os', '-flto', '-ffunction-sections', '-fdata-sections', '-fno-exceptions', '-fno-threadsafe-statics'];

const images = [
  {
    file: 'lodepole-nano.hex',
    processor: 'atmega328p',
    tools: 'avr-',
    packages: 'gcc-avr avr-libc binutils-avr',
    flags: ['-std=gnu++11', '-mmcu=atmega328p', '-DF_CPU=16000000L'],
    flashBytes: 32 * 1024,
    memoryBytes: 2048,
    pack: (run, elf) => {
      const hex = `${elf}.hex`;
      run('objcopy', '-O', 'ihex', '-R', '.eeprom', elf, hex);
      return readFileSync(hex);
    },
  },
];

function runner({ tools, packages }) {
  return (command, ...rest) => {
    const { error, status, stdout, stderr } = spawnSync(tools + command, rest, {
      encoding: 'utf8',
      env: { ...process.env, LC_ALL: 'C', SOURCE_DATE_EPOCH: '0' },
    });
    if (error) throw new Error(`${tools}${command}: ${error.message}. On Debian: apt install ${packages}`);
    if (status !== 0) throw new Error(`${[tools + command, ...rest].join(' ')}\n${stderr}`);
    return stdout;
  };
}

function sourcesOf(processor) {
  const own = join('processors', `${processor}.cpp`);
  return ['.', 'chips']
    .flatMap((folder) => readdirSync(join(sourceFolder, folder)).map((name) => join(folder, name)))
    .filter((name) => name.endsWith('.cpp'))
    .concat(own)
    .sort();
}

/** Builds one image: its bytes as committed, and the flash and memory that it takes. Throws an Error with the compiler's words. */
function buildImage(image) {
  const folder = mkdtempSync(join(tmpdir(), 'lodepole-build-'));
  const run = runner(image);
  try {
    const compile = (source) => {
      const object = join(folder, `${source.replaceAll('/', '-')}.o`);
      const sourceMap = `-fdebug-prefix-map=${here}=`;
      run('g++', ...image.flags, ...small, ...warnings, sourceMap, '-c', join(sourceFolder, source), '-o', object);
      return object;
    };
    const objects = sourcesOf(image.processor).map(compile);
    const elf = join(folder, 'board.elf');
    run('g++', ...image.flags, ...small, '-Wl,--gc-sections', '-o', elf, ...objects);
    const [text, data, bss] = run('size', elf).split('\n')[1].trim().split(/\s+/).map(Number);
    return { bytes: image.pack(run, elf), flash: text + data, memory: data + bss };
  } finally {
    rmSync(folder, { recursive: true });
  }
}

function writeVersion() {
  const header = `// Written by build.mjs from package.json.
#pragma once

#define LODEPOLE_VERSION "${version}"
`;
  writeFileSync(join(sourceFolder, 'version.h'), header);
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const folder = process.argv[2] ?? join(here, 'image');
  mkdirSync(folder, { recursive: true });
  writeVersion();
  for (const image of images) {
    const { bytes, flash, memory } = buildImage(image);
    writeFileSync(join(folder, image.file), bytes);
    const share = (used, of) => `${used} of ${of} bytes`;
    process.stderr.write(
      `${image.file}: flash ${share(flash, image.flashBytes)}, memory ${share(memory, image.memoryBytes)} before the stack\n`,
    );
  }
}
