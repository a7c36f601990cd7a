import { z } from 'zod';
import { arcminute } from '../../calibration/angle.ts';
import { storePath } from './folder.ts';
import { readJsonFile, saveJsonFile } from './jsonFile.ts';

const planFile = z.strictObject({
  schema: z.literal(1),
  keptUtc: z.iso.datetime(),
  /** How far from the pole the axis may be. */
  allowedArcmin: z.number().positive().max(10_000),
  words: z.string().max(300),
});

/** What the user wants to do tonight, as far as it asks something of the axis. */
export interface Plan {
  allowedRad: number;
  words: string;
}

const planPath = (): string => storePath('plan.json');
const planHours = 16;

export const keepPlan = ({ allowedRad, words }: Plan, now = new Date()): Promise<void> =>
  saveJsonFile(planPath(), planFile, {
    schema: 1,
    keptUtc: now.toISOString(),
    allowedArcmin: Math.min(allowedRad / arcminute, 10_000),
    words,
  });

/** Tonight's plan; undefined when none was named in the last hours. */
export async function loadPlan(now = new Date()): Promise<Plan | undefined> {
  const kept = await readJsonFile(planPath(), planFile);
  if (!kept || now.getTime() - Date.parse(kept.keptUtc) > planHours * 3_600_000) return undefined;
  return { allowedRad: kept.allowedArcmin * arcminute, words: kept.words };
}
