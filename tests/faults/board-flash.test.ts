import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmdirSync } from 'node:fs';
import { mkdir, mkdtemp, readdir, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { boardDriveAt, boardDrives, type BoardDrive } from '../../host/link/boardDrives.ts';
import { copyImage, driveFiles, type DriveFiles } from '../../host/link/copyImage.ts';

const image = (name: string): string => new URL(`../../firmware-proto/image/${name}`, import.meta.url).pathname;
const picoImage = image('lodepole-pico.uf2');

// What the boards write on their drives: RP2040 Datasheet 2.8.4.2 (INFO_UF2.TXT); the micro:bit's DETAILS.TXT from memory.
const picoInfo = 'UF2 Bootloader v3.0\r\nModel: Raspberry Pi RP2\r\nBoard-ID: RPI-RP2\r\n';
const microbitDetails = (number: string): string =>
  `# DAPLink Firmware\r\nUnique ID: ${number}0000001234567890\r\nHIC ID: 6e052820\r\n`;

let root: string;
beforeEach(async () => {
  root = await mkdtemp(join(tmpdir(), 'lodepole-drives-'));
});
afterEach(() => rm(root, { recursive: true }));

async function drive(name: string, files: Record<string, string>): Promise<string> {
  const folder = join(root, name);
  await mkdir(folder);
  for (const [file, text] of Object.entries({ ...files, 'PHOTO.JPG': 'a picture of somebody' }))
    await writeFile(join(folder, file), text);
  return folder;
}

/** Every file of a drive, with its contents. */
async function contents(folder: string): Promise<Record<string, string>> {
  const names = (await readdir(folder)).sort();
  return Object.fromEntries(
    await Promise.all(names.map(async (name) => [name, await readFile(join(folder, name), 'latin1')] as const)),
  );
}

const fault = (code: string): NodeJS.ErrnoException => Object.assign(new Error(`${code}: input/output`), { code });

/** Writes so many bytes for real, then fails. */
const pulledAfter = (count: number, code: string): DriveFiles => ({
  ...driveFiles,
  async write(path, bytes, onWritten) {
    const written = Math.min(count, bytes.length);
    await writeFile(path, bytes.subarray(0, written));
    onWritten(written);
    throw fault(code);
  },
});

async function pico(): Promise<BoardDrive> {
  const found = await boardDriveAt(await drive('RPI-RP2', { 'INFO_UF2.TXT': picoInfo, 'INDEX.HTM': '<html>' }));
  if (found === undefined) throw new Error('not recognised');
  return found;
}

describe('drives of boards', () => {
  test('are told by what the board writes on them, and nothing else is taken for one', async () => {
    const folders = [
      await drive('pico', { 'INFO_UF2.TXT': picoInfo }),
      await drive('pico2', { 'INFO_UF2.TXT': picoInfo.replace('RPI-RP2', 'RP2350') }),
      await drive('v2', { 'DETAILS.TXT': microbitDetails('9904') }),
      await drive('v1', { 'DETAILS.TXT': microbitDetails('9901') }),
      await drive('stick', { 'README.TXT': 'Board-ID: RPI-RP2' }),
      join(root, 'not there'),
    ];
    const found = await boardDrives(folders);
    expect(found.map(({ name, image: fits }) => `${name}: ${fits}`)).toEqual([
      'Raspberry Pi Pico: lodepole-pico.uf2',
      'another board that takes UF2 files: undefined',
      'micro:bit V2: lodepole-microbit.hex',
      'micro:bit of the first version: undefined',
    ]);
  });
});

/** A file system of its own for a drive of so many bytes; only root may make one. */
function mounted(folder: string, bytes: number): boolean {
  return spawnSync('mount', ['-t', 'tmpfs', '-o', `size=${bytes}`, 'none', folder]).status === 0;
}
const canMount = ((): boolean => {
  const folder = mkdtempSync(join(tmpdir(), 'lodepole-mount-'));
  const can = mounted(folder, 4096) && spawnSync('umount', [folder]).status === 0;
  rmdirSync(folder);
  if (!can) console.warn('SKIPPED, mounting a small file system takes root: no drive is really full');
  return can;
})();

describe.skipIf(!canMount)('a drive that is really full', () => {
  const small = 24_576;

  async function smallPico(): Promise<BoardDrive> {
    const folder = join(root, 'RPI-RP2');
    await mkdir(folder);
    expect(mounted(folder, small)).toBe(true);
    for (const [name, text] of Object.entries({ 'INFO_UF2.TXT': picoInfo, 'PHOTO.JPG': 'a picture of somebody' }))
      await writeFile(join(folder, name), text);
    const found = await boardDriveAt(folder);
    if (found === undefined) throw new Error('not recognised');
    return found;
  }
  afterEach(() => void spawnSync('umount', [join(root, 'RPI-RP2')]));

  test('is refused by its free bytes, and nothing is written', async () => {
    const board = await smallPico();
    const before = await contents(board.folder);
    await expect(copyImage(board, picoImage)).rejects.toThrow(/is full: \d+ bytes are free.*Nothing was written/);
    expect(await contents(board.folder)).toEqual(before);
  });

  test('and shows so only while it is written: our piece of a file is taken off again, the rest stays', async () => {
    const board = await smallPico();
    const before = await contents(board.folder);
    const boasting = { ...driveFiles, freeBytes: () => Promise.resolve(1e9) };
    await expect(copyImage(board, picoImage, boasting)).rejects.toThrow(/became full after \d+ of/);
    expect(await contents(board.folder)).toEqual(before);
  });
});

describe('copying an image', () => {
  test('writes our file and touches nothing else', async () => {
    const board = await pico();
    const before = await contents(board.folder);
    await copyImage(board, picoImage);
    const after = await contents(board.folder);
    expect(after['lodepole-pico.uf2']).toBe(await readFile(picoImage, 'latin1'));
    expect({ ...after, 'lodepole-pico.uf2': undefined }).toEqual({ ...before, 'lodepole-pico.uf2': undefined });
  });

  test('refuses a board that it does not fit, and writes nothing', async () => {
    const board = await pico();
    const before = await contents(board.folder);
    await expect(copyImage(board, image('lodepole-microbit.hex'))).rejects.toThrow(
      /does not fit it. Nothing was written/,
    );
    expect(await contents(board.folder)).toEqual(before);
  });

  test('refuses a full drive, and writes nothing', async () => {
    const board = await pico();
    const before = await contents(board.folder);
    const full = { ...driveFiles, freeBytes: () => Promise.resolve(1000) };
    await expect(copyImage(board, picoImage, full)).rejects.toThrow(
      /is full: 1000 bytes are free.*Nothing was written/,
    );
    expect(await contents(board.folder)).toEqual(before);
  });

  test.each([
    ['ENOSPC', /became full after 8192 of/],
    ['EIO', /went away after 8192 of/],
    ['EROFS', /cannot be written after 8192 of/],
  ])('a drive that fails half-way by %s is told, and our piece of a file is taken off again', async (code, words) => {
    const board = await pico();
    const before = await contents(board.folder);
    await expect(copyImage(board, picoImage, pulledAfter(8192, code))).rejects.toThrow(words);
    expect(await contents(board.folder)).toEqual(before);
  });

  test('a drive that goes away after the last byte is a board that has started', async () => {
    const board = await pico();
    await expect(copyImage(board, picoImage, pulledAfter(1e9, 'EIO'))).resolves.toBeUndefined();
  });

  test('a drive that is gone altogether is an ordinary failure', async () => {
    const board = await pico();
    await rm(board.folder, { recursive: true });
    await expect(copyImage(board, picoImage)).rejects.toThrow();
  });
});
