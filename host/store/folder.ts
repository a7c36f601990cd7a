import { mkdir, open } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import envPaths from 'env-paths';

/** Where sites, calibrations and nights are kept; LODEPOLE_HOME overrides the platform's usual place. */
const storeFolder = (): string => process.env.LODEPOLE_HOME ?? envPaths('lodepole', { suffix: '' }).data;
export const storePath = (...parts: string[]): string => join(storeFolder(), ...parts);

/** Makes a folder and what is missing above it. Node 20's own recursive mkdir never returns where a file system keeps saying ENOENT. */
export async function makeFolder(path: string): Promise<void> {
  const codeOf = (error: unknown): string | undefined => (error as NodeJS.ErrnoException).code;
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

/** New names in a folder outlast a power cut from here on; where a system cannot do that for folders, as far as it goes. */
export async function flushFolder(path: string): Promise<void> {
  const handle = await open(path, 'r').catch(() => undefined);
  await handle?.sync().catch(() => {});
  await handle?.close();
}
