import { readdir, readFile } from 'node:fs/promises';
import { join } from 'node:path';

/** A drive that a board shows, told by what the board itself writes on it. */
export interface BoardDrive {
  folder: string;
  /** In words. */
  name: string;
  /** Image in firmware-proto/image that fits; undefined where none does. */
  image?: string;
}

/** First four digits of the unique number that the interface chip shows: micro:bit V2 (from memory of its makers' list). */
const microbitV2 = /^990[3-6]/;

const textOf = (path: string): Promise<string> => readFile(path, 'latin1').catch(() => '');

/** What kind of board shows this folder as its drive; undefined where none does. */
export async function boardDriveAt(folder: string): Promise<BoardDrive | undefined> {
  // RP2040 Datasheet 2.8.4.2: the boot drive holds INFO_UF2.TXT.
  const info = await textOf(join(folder, 'INFO_UF2.TXT'));
  if (/^Board-ID: *RPI-RP2\s*$/m.test(info)) return { folder, name: 'Raspberry Pi Pico', image: 'lodepole-pico.uf2' };
  if (info !== '') return { folder, name: 'another board that takes UF2 files' };
  const details = await textOf(join(folder, 'DETAILS.TXT'));
  const number = /^Unique ID: *([0-9a-f]+)/im.exec(details)?.[1];
  if (number === undefined) return undefined;
  return microbitV2.test(number)
    ? { folder, name: 'micro:bit V2', image: 'lodepole-microbit.hex' }
    : {
        folder,
        name:
          number.startsWith('9900') || number.startsWith('9901')
            ? 'micro:bit of the first version'
            : 'another board with an interface chip',
      };
}

/** Where drives are mounted on this machine. */
async function mountedFolders(): Promise<string[]> {
  if (process.platform === 'linux') {
    const mounts = await textOf('/proc/self/mounts');
    return mounts
      .split('\n')
      .map((line) => line.split(' '))
      .filter(([, , kind]) => kind === 'vfat' || kind === 'msdos')
      .map(([, folder]) =>
        folder.replace(/\\([0-7]{3})/g, (_, octal: string) => String.fromCharCode(parseInt(octal, 8))),
      );
  }
  if (process.platform === 'win32') return Array.from('DEFGHIJKLMNOPQRSTUVWXYZ', (letter) => `${letter}:\\`);
  const names = await readdir('/Volumes').catch(() => []);
  return names.map((name) => join('/Volumes', name));
}

export async function boardDrives(folders?: readonly string[]): Promise<BoardDrive[]> {
  const found = await Promise.all((folders ?? (await mountedFolders())).map(boardDriveAt));
  return found.filter((drive) => drive !== undefined);
}
