import { access, readdir } from 'node:fs/promises';
import { z } from 'zod';
import type { Measures } from '../../calibration/clearance.ts';
import type { Part, Rig } from '../../calibration/balance/rig.ts';
import { degree } from '../../calibration/angle.ts';
import { readFault } from '../fileFault.ts';
import { exitCode, Failure } from '../failure.ts';
import { nearNames, plainName } from '../nearNames.ts';
import { storePath } from './folder.ts';
import { readJsonFile, readWrittenFile, saveJsonFile } from './jsonFile.ts';

const heaviestKg = 200;
const farthestMm = 5000;
const massKg = z
  .number()
  .positive('a mass must be above zero')
  .max(heaviestKg, `no amateur's part weighs more than ${heaviestKg} kg: give kilograms`);
const sigmaKg = z.number().nonnegative().max(heaviestKg).optional();
const placeMm = z
  .number()
  .min(-farthestMm, `within ${farthestMm} mm: give millimetres`)
  .max(farthestMm, `within ${farthestMm} mm: give millimetres`);
const lengthMm = placeMm.nonnegative('a length is not negative');
const name = z.string().trim().min(1).max(80);

const part = z.object({
  name,
  /** Null while it is not known: `--weigh` finds it. */
  massKg: massKg.nullable(),
  sigmaKg,
  alongMm: placeMm,
  outMm: placeMm,
  sideMm: placeMm.optional(),
});

const counterweight = z
  .object({
    name: name.optional(),
    massKg,
    sigmaKg,
    fromMm: lengthMm,
    toMm: lengthMm,
    atMm: lengthMm.optional(),
    thickMm: lengthMm.optional(),
  })
  .refine(
    ({ fromMm, toMm }) => fromMm <= toMm,
    'the range of a counterweight runs from the axis outward: fromMm not above toMm',
  );

export const rigFile = z.object({
  schema: z.literal(1),
  name,
  travelMm: z
    .tuple([placeMm, placeMm])
    .refine(
      ([from, to]) => from <= 0 && to >= 0 && from <= to,
      'the travel is from where the dovetail is: [0 or less, 0 or more]',
    ),
  parts: z.array(part).min(1, 'a rig has at least one part: the tube').max(50),
  counterweights: z.array(counterweight).max(10),
  shaft: z.object({ massKg: z.number().nonnegative().max(heaviestKg), sigmaKg, centreMm: lengthMm }),
  /** For the clearance between tube and tripod. */
  measures: z
    .object({
      tubeOutMm: lengthMm,
      tubeFrontMm: lengthMm,
      tubeRearMm: lengthMm,
      tubeDiameterMm: lengthMm,
      headBelowMm: lengthMm,
      groundBelowMm: lengthMm,
      footOutMm: lengthMm,
      legMm: lengthMm,
      legAzimuthDeg: z.number().min(0).max(360),
    })
    .optional(),
});
export type SavedRig = z.infer<typeof rigFile>;

const rigPath = (rigName: string): string => storePath('rigs', `${plainName(rigName).replaceAll(' ', '-')}.json`);

/** Names of the rigs that are kept. */
export async function keptRigs(): Promise<string[]> {
  const files = await readdir(storePath('rigs')).catch(() => []);
  return files.filter((file) => file.endsWith('.json')).map((file) => file.slice(0, -'.json'.length));
}

/** Keeps a rig under its own name. Throws Failure. */
export const keepRig = (rig: SavedRig): Promise<void> => saveJsonFile(rigPath(rig.name), rigFile, rig);

/** A rig out of the file of that name, else the kept one. Throws Failure. */
export async function loadRig(fileOrName: string): Promise<SavedRig> {
  const isFile = await access(fileOrName).then(
    () => true,
    () => false,
  );
  if (isFile) {
    const rig = await readWrittenFile(fileOrName, rigFile, 'Correct it. For an example: lodepole balance --help');
    if (rig) return rig;
  }
  const kept = plainName(fileOrName) === '' ? undefined : await readJsonFile(rigPath(fileOrName), rigFile);
  if (kept) return kept;
  if (/[/\\.]/.test(fileOrName)) throw readFault(fileOrName, { code: 'ENOENT' });
  const names = await keptRigs();
  const near = nearNames(fileOrName, names);
  throw new Failure(
    exitCode.usage,
    `There is no file and no saved rig "${fileOrName}".`,
    near.length > 0 ? `Did you mean ${near.join(' or ')}?` : 'Save one first: lodepole balance --rig rig.json --keep',
  );
}

/** The rig with every mass known. Throws Failure where one is not. */
export function knownRig({ parts, measures, ...rig }: SavedRig): Rig {
  return {
    ...rig,
    ...(measures && { endsMm: [-measures.tubeRearMm, measures.tubeFrontMm] as const }),
    parts: parts.map((each): Part => {
      if (each.massKg !== null) return { ...each, massKg: each.massKg };
      throw new Failure(
        exitCode.badData,
        `The mass of ${each.name} is not known.`,
        `Weigh it, or balance with and without it: lodepole balance --rig FILE --weigh "${each.name}" --weights-without 180 --weights-with 205`,
      );
    }),
  };
}

/** The measures of tube and tripod; undefined where the rig has none. */
export function measuresOf({ measures }: SavedRig): Measures | undefined {
  if (!measures) return undefined;
  const { legAzimuthDeg, ...lengths } = measures;
  return { ...lengths, legAzimuthRad: legAzimuthDeg * degree };
}
