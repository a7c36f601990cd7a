import { readdir } from 'node:fs/promises';
import { z } from 'zod';
import { storePath } from './folder.ts';
import { readJsonFile } from './jsonFile.ts';

const dated = z.looseObject({ savedUtc: z.iso.datetime() });

/** When the newest JSON file below a folder of the store was saved, milliseconds UTC; undefined where there is none. */
async function newestMs(folder: string): Promise<number | undefined> {
  const files = await readdir(storePath(folder), { recursive: true }).catch((): string[] => []);
  const times = await Promise.all(
    files
      .filter((file) => file.endsWith('.json'))
      .map(async (file) => Date.parse((await readJsonFile(storePath(folder, file), dated))?.savedUtc ?? '')),
  );
  const known = times.filter(Number.isFinite);
  return known.length > 0 ? Math.max(...known) : undefined;
}

/** When a board was calibrated last, of any number. Throws Failure. */
export const tumbledMs = (): Promise<number | undefined> => newestMs('calibrations');
/** When an axis was swung last, with any board. Throws Failure. */
export const swungMs = (): Promise<number | undefined> => newestMs('swings');
