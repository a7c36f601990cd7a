// node firmware-proto/build.mjs [FOLDER]: builds the images of every processor with Debian's compilers into FOLDER (image/) and
// prints how much flash and memory each takes. The same sources give the same bytes, wherever they are built.
import { execFile } from 'node:child_process';
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { basename, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { promisify } from 'node:util';

const here = fileURLToPath(new URL('.', import.meta.url));
const sourceFolder = join(here, 'board/src');

/** The one place of the version, of the program and of every image. */
export const { version } = JSON.parse(readFileSync(join(here, '../package.json'), 'utf8'));

const warnings = ['-Wall', '-Wextra', '-Werror'];
const small = [
  '-std=gnu++14',
  '-Os',
  '-flto',
  '-ffunction-sections',
  '-fdata-sections',
  '-fno-exceptions',
  '-fno-threadsafe-statics',
  '-pipe',
];

const arm = {
  tools: 'arm-none-eabi-',
  packages: 'gcc-arm-none-eabi libnewlib-arm-none-eabi',
  link: (processor) => [
    ...['-nostartfiles', '--specs=nano.specs', `-L${join(sourceFolder, 'processors')}`],
    ...['-T', join(sourceFolder, 'processors', `${processor}.ld`)],
  ],
};
const armFlags = ['-mcpu=cortex-m0plus', '-mthumb', '-fno-rtti', '-ffreestanding'];

const images = [
  {
    file: 'lodepole-nano.hex',
    processor: 'atmega328p',
    tools: 'avr-',
    packages: 'gcc-avr avr-libc binutils-avr',
    link: () => [],
    flags: ['-mmcu=atmega328p', '-DF_CPU=16000000L'],
    flashBytes: 32 * 1024,
    memoryBytes: 2048,
    pack: async (run, elf) => {
      const hex = `${elf}.hex`;
      await run('objcopy', '-O', 'ihex', '-R', '.eeprom', elf, hex);
      return readFileSync(hex);
    },
  },
  {
    ...arm,
    file: 'lodepole-pico.uf2',
    processor: 'rp2040',
    flags: [...armFlags, '-DLODEPOLE_RP2040'],
    flashBytes: 256 * 1024,
    memoryBytes: 260 * 1024,
    pack: async (run, elf) => {
      const binary = `${elf}.bin`;
      await run('objcopy', '-O', 'binary', elf, binary);
      return uf2(withBootCrc(readFileSync(binary)), 0x10000000, familyRp2040);
    },
  },
  {
    ...arm,
    file: 'lodepole-microbit.hex',
    processor: 'nrf52833',
    flags: [...armFlags, '-DLODEPOLE_NRF52833'],
    flashBytes: 256 * 1024,
    memoryBytes: 128 * 1024,
    pack: async (run, elf) => {
      const hex = `${elf}.hex`;
      await run('objcopy', '-O', 'ihex', elf, hex);
      return readFileSync(hex);
    },
  },
];

/** RP2040 datasheet 2.8.1.3.1: the boot ROM takes boot stage 2 only with the CRC-32 of its 252 bytes (polynomial 04C11DB7, start FFFFFFFF, not reflected). */
function withBootCrc(flash) {
  let crc = 0xffffffff;
  for (const byte of flash.subarray(0, 252)) {
    crc ^= byte << 24;
    for (let bit = 0; bit < 8; bit += 1) crc = crc < 0 || crc > 0x7fffffff ? (crc << 1) ^ 0x04c11db7 : crc << 1;
  }
  flash.writeUInt32LE(crc >>> 0, 252);
  return flash;
}

const familyRp2040 = 0xe48bff56;

/** USB Flashing Format, github.com/microsoft/uf2: blocks of 512 bytes that carry 256 each, with their address and family. */
function uf2(bytes, address, family) {
  const payload = 256;
  const count = Math.ceil(bytes.length / payload);
  const blocks = Buffer.alloc(count * 512);
  for (let index = 0; index < count; index += 1) {
    const block = blocks.subarray(index * 512);
    const head = [0x0a324655, 0x9e5d5157, 0x2000, address + index * payload, payload, index, count, family];
    for (const [at, word] of head.entries()) block.writeUInt32LE(word, 4 * at);
    bytes.copy(block, 32, index * payload, Math.min(bytes.length, (index + 1) * payload));
    block.writeUInt32LE(0x0ab16f30, 508);
  }
  return blocks;
}

const execute = promisify(execFile);

/** Runs a tool in a folder and gives what it prints. Throws an Error with its words. */
const runner =
  ({ tools, packages }, cwd) =>
  async (command, ...rest) => {
    const env = { ...process.env, LC_ALL: 'C', SOURCE_DATE_EPOCH: '0' };
    try {
      return (await execute(tools + command, rest, { cwd, env })).stdout;
    } catch (error) {
      const isMissing = error.code === 'ENOENT';
      throw new Error(isMissing ? `${error.message}. On Debian: apt install ${packages}` : error.stderr, {
        cause: error,
      });
    }
  };

const cppIn = (folder) =>
  readdirSync(join(sourceFolder, folder))
    .filter((name) => name.endsWith('.cpp'))
    .sort()
    .map((name) => join(sourceFolder, folder, name));

const include = (path) => `#include "${path}"\n`;

/** All the drivers as one text, in a namespace each: all of them name registers. */
export const drivers = () =>
  include(join(sourceFolder, 'chip.h')) +
  cppIn('chips')
    .map((path) => `namespace in_${basename(path, '.cpp')} {\n${include(path)}}\n`)
    .join('');

/**
 * The files to compile: those of the processors, and all the portable ones as one that is written into `folder`, since a compiler
 * takes longer to start than to read them.
 */
export function units(folder) {
  const portable = join(folder, 'portable.cpp');
  writeFileSync(portable, cppIn('.').map(include).join('') + drivers());
  return [portable, ...cppIn('processors')];
}

/** Builds one image: its bytes as committed, and the flash and memory that it takes. Throws an Error with the compiler's words. */
async function buildImage(image) {
  const folder = mkdtempSync(join(tmpdir(), 'lodepole-build-'));
  const run = runner(image, folder);
  try {
    const files = units(folder);
    const sourceMap = `-fdebug-prefix-map=${here}=`;
    await run('g++', ...image.flags, ...small, ...warnings, sourceMap, '-c', ...files);
    const objects = files.map((file) => basename(file).replace(/cpp$/, 'o'));
    const elf = join(folder, 'board.elf');
    await run(
      'gcc',
      ...image.flags,
      ...small,
      '-Wl,--gc-sections',
      ...image.link(image.processor),
      '-o',
      elf,
      ...objects,
    );
    const [text, data, bss] = (await run('size', elf)).split('\n')[1].trim().split(/\s+/).map(Number);
    return { bytes: await image.pack(run, elf), flash: text + data, memory: data + bss };
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
  const manifest = join(here, 'board/library.properties');
  writeFileSync(manifest, readFileSync(manifest, 'utf8').replace(/^version=.*$/m, `version=${version}`));
}

/** All images: file, processor, bytes, and what each takes (`flash`, `memory`) of what there is (`flashBytes`, `memoryBytes`). */
export const buildImages = () => Promise.all(images.map(async (image) => ({ ...image, ...(await buildImage(image)) })));

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const folder = process.argv[2] ?? join(here, 'image');
  mkdirSync(folder, { recursive: true });
  writeVersion();
  for (const { file, bytes, flash, flashBytes, memory, memoryBytes } of await buildImages()) {
    writeFileSync(join(folder, file), bytes);
    process.stderr.write(
      `${file}: flash ${flash} of ${flashBytes} bytes, memory ${memory} of ${memoryBytes} bytes before the stack\n`,
    );
  }
}
