import { readFile } from 'node:fs/promises';
import { z } from 'zod';
import { storePath } from '../store/folder.ts';

const oldFile = z.object({ schema: z.literal(1), entries: z.array(z.looseObject({})) });

/** The log as versions up to 0.1 kept it: the last night in one file, the save before beside it. One line for each entry, each once. */
export async function oldLines(): Promise<{ path: string; lines: string[] }[]> {
  const seen = new Set<string>();
  const found: { path: string; lines: string[] }[] = [];
  for (const path of [storePath('night.json.old'), storePath('night.json')]) {
    const text = await readFile(path, 'utf8').catch(() => undefined);
    if (text !== undefined)
      found.push({ path, lines: entriesIn(text).filter((line) => !seen.has(line) && seen.add(line)) });
  }
  return found;
}

function entriesIn(text: string): string[] {
  try {
    return oldFile.parse(JSON.parse(text)).entries.map((entry) => JSON.stringify({ schema: 1, ...entry }));
  } catch {
    // what cannot be read is told as one damaged line
    return ['{'];
  }
}
