import { open, readFile, rm, statfs } from 'node:fs/promises';
import { basename, join } from 'node:path';
import { exitCode, Failure } from '../failure.ts';
import type { BoardDrive } from './boardDrives.ts';

const pieceBytes = 4096;

/** What copying needs of the file system; the tests pull the drive through it. */
export interface DriveFiles {
  freeBytes(folder: string): Promise<number>;
  /** Writes one file from its first byte to its last; `onWritten` tells how many bytes have gone. */
  write(path: string, bytes: Uint8Array, onWritten: (bytes: number) => void): Promise<void>;
  remove(path: string): Promise<void>;
}

export const driveFiles: DriveFiles = {
  async freeBytes(folder) {
    const { bavail, bsize } = await statfs(folder);
    return bavail * bsize;
  },
  async write(path, bytes, onWritten) {
    const file = await open(path, 'w');
    try {
      for (let at = 0; at < bytes.length; onWritten(at)) {
        // a drive that is nearly full may take a part of a piece
        const { bytesWritten } = await file.write(bytes.subarray(at, at + pieceBytes));
        if (bytesWritten === 0) throw Object.assign(new Error('no byte was taken'), { code: 'ENOSPC' });
        at += bytesWritten;
      }
      await file.sync();
    } finally {
      await file.close().catch(() => undefined);
    }
  },
  remove: (path) => rm(path, { force: true }),
};

/**
 * Copies an image to a board's drive and touches nothing else on it. A drive that goes away after the last byte is a board that has
 * taken it. Throws Failure for a board that the image does not fit, a full drive, and one that was pulled half-way.
 */
export async function copyImage(drive: BoardDrive, imagePath: string, files: DriveFiles = driveFiles): Promise<void> {
  const name = basename(imagePath);
  if (drive.image !== name) {
    throw new Failure(
      exitCode.refused,
      `${drive.folder} is the drive of ${drive.name}; ${name} does not fit it. Nothing was written.`,
      'Plug in a Raspberry Pi Pico, with its button held down, or a micro:bit V2.',
    );
  }
  const bytes = await readFile(imagePath);
  const path = join(drive.folder, name);
  const free = await files.freeBytes(drive.folder);
  if (free < bytes.length) {
    throw new Failure(
      exitCode.inputOutput,
      `The drive ${drive.folder} is full: ${free} bytes are free, ${name} needs ${bytes.length}. Nothing was written.`,
      'Unplug the board, plug it in again and repeat the command; delete files of your own from the drive if that does not help.',
    );
  }
  let written = 0;
  try {
    await files.write(path, bytes, (count) => (written = count));
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    if (written === bytes.length && code !== 'ENOSPC') return;
    await files.remove(path).catch(() => undefined);
    const what =
      code === 'ENOSPC' ? 'became full' : code === 'EACCES' || code === 'EROFS' ? 'cannot be written' : 'went away';
    throw new Failure(
      exitCode.inputOutput,
      `The drive ${drive.folder} ${what} after ${written} of ${bytes.length} bytes; the board has no whole program now.`,
      'Plug the board in again (a Pico with its button held down) and repeat the command; this cannot damage it.',
      { cause: error },
    );
  }
}
