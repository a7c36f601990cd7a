import { dirname } from 'node:path';
import writeFileAtomic from 'write-file-atomic';
import { z } from 'zod';
import { keepFault } from '../fileFault.ts';
import { makeFolder, storePath } from './folder.ts';
import { readJsonFile } from './jsonFile.ts';

/** A device that may come in: the digest of its token, never the token itself, and until when. */
const device = z.strictObject({ digest: z.string().length(43), untilUtc: z.iso.datetime() });
export type PairedDevice = z.infer<typeof device>;
const pairedFile = z.strictObject({
  schema: z.literal(1),
  kind: z.literal('paired'),
  devices: z.array(device).max(100),
});

const path = (): string => storePath('paired.json');
/** Nobody but the owner reads or writes it. */
const ownerOnly = 0o600;

export async function loadPaired(): Promise<PairedDevice[]> {
  return (await readJsonFile(path(), pairedFile))?.devices ?? [];
}

/** Atomic. Throws Failure where it cannot be saved. */
export async function savePaired(devices: readonly PairedDevice[]): Promise<void> {
  try {
    await makeFolder(dirname(path()));
    const text = `${JSON.stringify({ schema: 1, kind: 'paired', devices }, undefined, 2)}\n`;
    await writeFileAtomic(path(), text, { mode: ownerOnly });
  } catch (error) {
    throw keepFault(path(), error);
  }
}
