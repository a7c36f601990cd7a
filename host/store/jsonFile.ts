import { access, constants, readdir, readFile, rename, rm, stat } from 'node:fs/promises';
import { basename, dirname, join } from 'node:path';
import writeFileAtomic from 'write-file-atomic';
import { z } from 'zod';
import { exitCode, Failure } from '../failure.ts';
import { keepFault, readFault, writeFault } from '../fileFault.ts';
import { schemaWords } from '../schemaFault.ts';
import { makeFolder } from './folder.ts';
import { underLock } from './lock.ts';

/** Every file says in `schema` how it is to be read; a later version may say more than this. */
const schemaNow = 1;

interface Found<T> {
  text: string;
  /** Undefined where the file does not fit. */
  value?: T;
  /** Where and how it does not fit. */
  fault?: string;
}

/** Throws Failure on a file that cannot be read, or that a newer version saved. */
async function find<T>(path: string, schema: z.ZodType<T>): Promise<Found<T> | undefined> {
  const text = await readFile(path, 'utf8').catch((error: unknown) => {
    if (['ENOENT', 'ENOTDIR'].includes((error as NodeJS.ErrnoException).code ?? '')) return undefined;
    throw readFault(path, error);
  });
  if (text === undefined) return undefined;
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch {
    return { text, fault: 'it is incomplete or not JSON' };
  }
  const version = (value as { schema?: unknown } | null)?.schema;
  if (typeof version === 'number' && version > schemaNow) {
    throw new Failure(
      exitCode.badData,
      `A newer version of this program saved ${path} (schema ${version}). It is left alone.`,
      'Update Lodepole, or choose another folder with LODEPOLE_HOME.',
    );
  }
  const { data, error } = schema.safeParse(value);
  if (!error) return { text, value: data };
  return { text, fault: schemaWords(error) };
}

/** Reads and checks a JSON file; undefined when there is none. Throws Failure on a file that cannot be read or does not fit. */
export async function readJsonFile<T>(path: string, schema: z.ZodType<T>): Promise<T | undefined> {
  const found = await find(path, schema);
  if (found?.fault === undefined) return found?.value;
  throw new Failure(exitCode.badData, `${path} is damaged: ${found.fault}.`, await mendWords(path));
}

/** The same of a file that the person wrote by hand; `whatToDo` where it does not fit. */
export async function readWrittenFile<T>(path: string, schema: z.ZodType<T>, whatToDo: string): Promise<T | undefined> {
  const found = await find(path, schema);
  if (found?.fault === undefined) return found?.value;
  throw new Failure(exitCode.badData, `${path} cannot be used: ${found.fault}.`, whatToDo);
}

/**
 * Saves what `change` makes of the file that is there, undefined where there is none that can be read; nobody else saves between.
 * Atomic (written aside, flushed, renamed). A good file is kept beside it as `.old`, a damaged one as `.damaged`.
 */
export async function changeJsonFile<T>(
  path: string,
  schema: z.ZodType<T>,
  change: (kept: T | undefined) => T,
): Promise<T> {
  try {
    return await underLock(async () => {
      await makeFolder(dirname(path));
      await sweep(dirname(path), /\.json(\.old)?\.\d+$/);
      const found = await find(path, schema);
      const value = change(found?.value);
      await replaceFile(path, found, value);
      return value;
    });
  } catch (error) {
    throw keepFault(path, error);
  }
}

/** The same, whatever was there before. */
export async function saveJsonFile<T>(path: string, schema: z.ZodType<T>, value: T): Promise<void> {
  await changeJsonFile(path, schema, () => value);
}

/** Refuses a file that the person named before anything is measured for it. Throws Failure. */
export async function checkFolderOf(path: string): Promise<void> {
  await access(dirname(path), constants.W_OK).catch((error: unknown) => {
    throw writeFault(path, error);
  });
}

const anyOfOurs = z.looseObject({ schema: z.int(), kind: z.string() });

/** As `saveJsonFile`, for a file that the person named, whose folder must be there. */
export async function saveNamedFile(path: string, value: object): Promise<void> {
  try {
    await replaceFile(path, await find(path, anyOfOurs), value);
    const name = basename(path).replace(/[.*+?^${}()|[\]\\]/g, '\\$&');
    await sweep(dirname(path), new RegExp(`^${name}(\\.old)?\\.\\d{7,10}$`), leftOverMs);
  } catch (error) {
    if (error instanceof Failure) throw error;
    throw writeFault(path, error);
  }
}

async function replaceFile(path: string, found: Found<unknown> | undefined, value: unknown): Promise<void> {
  if (found?.fault !== undefined) await rename(path, `${path}.damaged`);
  else if (found) await writeFileAtomic(`${path}.old`, found.text);
  await writeFileAtomic(path, `${JSON.stringify(value, undefined, 2)}\n`);
}

/** A file written aside lives for milliseconds. */
const leftOverMs = 60_000;

/** Removes what a killed program had written aside; `olderMs` spares those of a program that saves just now. */
async function sweep(folder: string, names: RegExp, olderMs?: number): Promise<void> {
  for (const name of (await readdir(folder)).filter((each) => names.test(each))) {
    const path = join(folder, name);
    const madeMs =
      olderMs === undefined
        ? -Infinity
        : await stat(path).then(
            ({ mtimeMs }) => mtimeMs + olderMs,
            () => Infinity,
          );
    if (madeMs < Date.now()) await rm(path, { force: true }).catch(() => {});
  }
}

const mendWords = (path: string): Promise<string> =>
  access(`${path}.old`).then(
    () => `Repair it, or put ${path}.old in its place.`,
    () => 'Repair the file, or delete it and run the step again.',
  );
