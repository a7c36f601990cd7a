import { access, constants, copyFile, mkdir, readFile } from 'node:fs/promises';
import { dirname } from 'node:path';
import writeFileAtomic from 'write-file-atomic';
import { z } from 'zod';
import { exitCode, Failure } from '../failure.ts';
import { writeFault } from '../fileFault.ts';

const codeOf = (error: unknown): string | undefined => (error as NodeJS.ErrnoException | undefined)?.code;

/** Reads and checks a JSON file; undefined when there is none. Throws Failure on a file that cannot be read or does not fit. */
export async function readJsonFile<T>(path: string, schema: z.ZodType<T>): Promise<T | undefined> {
  let text: string;
  try {
    text = await readFile(path, 'utf8');
  } catch (error) {
    if (codeOf(error) === 'ENOENT') return undefined;
    throw new Failure(
      exitCode.inputOutput,
      `${path} cannot be read: ${(error as Error).message}`,
      'Check its permissions.',
      { cause: error },
    );
  }
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch (error) {
    throw new Failure(exitCode.badData, `${path} is not JSON: ${(error as Error).message}`, await mendWords(path), {
      cause: error,
    });
  }
  const checked = schema.safeParse(value);
  if (!checked.success) {
    throw new Failure(
      exitCode.badData,
      `${path} does not fit: ${z.prettifyError(checked.error)}`,
      await mendWords(path),
    );
  }
  return checked.data;
}

/** Saves atomically (written aside, flushed, renamed); the file it replaces is kept beside it as `.old`. */
export async function saveJsonFile(path: string, value: unknown): Promise<void> {
  try {
    await makeFolder(dirname(path));
    await replaceFile(path, value);
  } catch (error) {
    throw new Failure(
      exitCode.inputOutput,
      `${path} cannot be saved: ${(error as Error).message}`,
      'Free some space or choose another folder with LODEPOLE_HOME; what was there before is untouched.',
      { cause: error },
    );
  }
}

/** Refuses a file that the person named before anything is measured for it. Throws Failure. */
export async function checkFolderOf(path: string): Promise<void> {
  await access(dirname(path), constants.W_OK).catch((error: unknown) => {
    throw writeFault(path, error);
  });
}

/** The same for a file that the person named, whose folder must be there. */
export async function saveNamedFile(path: string, value: unknown): Promise<void> {
  try {
    await replaceFile(path, value);
  } catch (error) {
    throw writeFault(path, error);
  }
}

async function replaceFile(path: string, value: unknown): Promise<void> {
  await copyFile(path, `${path}.old`).catch((error: unknown) => {
    if (codeOf(error) !== 'ENOENT') throw error;
  });
  await writeFileAtomic(path, `${JSON.stringify(value, undefined, 2)}\n`);
}

const mendWords = (path: string): Promise<string> =>
  access(`${path}.old`).then(
    () => `Mend it, or restore ${path}.old.`,
    () => 'Mend it, or make it again.',
  );

/** Makes a folder and what is missing above it. Node 20's own recursive mkdir never returns where a file system keeps saying ENOENT. */
async function makeFolder(path: string): Promise<void> {
  const make = () =>
    mkdir(path).catch((error: unknown) => {
      if (codeOf(error) !== 'EEXIST') throw error;
    });
  await make().catch(async (error: unknown) => {
    if (codeOf(error) !== 'ENOENT' || dirname(path) === path) throw error;
    await makeFolder(dirname(path));
    await make();
  });
}
