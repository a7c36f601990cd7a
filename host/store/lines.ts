import { open, readFile } from 'node:fs/promises';
import { dirname } from 'node:path';
import { readFault } from '../fileFault.ts';
import { flushFolder } from './folder.ts';

const newline = 0x0a;

/** Adds whole lines at the end of a file, and returns when they are on the disk. What a power cut tore off there stays a line of its own. */
export async function appendLines(path: string, lines: readonly string[]): Promise<void> {
  const handle = await open(path, 'a+');
  let isNew: boolean;
  try {
    const { size } = await handle.stat();
    isNew = size === 0;
    const last = isNew ? newline : (await handle.read(Buffer.alloc(1), 0, 1, size - 1)).buffer[0];
    await handle.appendFile(`${last === newline ? '' : '\n'}${lines.join('\n')}\n`);
    await handle.sync();
  } finally {
    await handle.close();
  }
  if (isNew) await flushFolder(dirname(path));
}

/** The lines of a file, none where there is no file. Throws Failure when it cannot be read. */
export async function readLines(path: string): Promise<string[]> {
  const text = await readFile(path, 'utf8').catch((error: unknown) => {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return '';
    throw readFault(path, error);
  });
  return text.split('\n');
}
