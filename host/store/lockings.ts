import { z } from 'zod';
import { degree } from '../../calibration/angle.ts';
import type { SeenShift } from '../../calibration/nudge/habit.ts';
import type { Site } from '../site/site.ts';
import { clippingOf, fileNameOf, type ClippingOptions } from './clipping.ts';
import { readdir } from 'node:fs/promises';
import { storePath } from './folder.ts';
import { changeJsonFile, readJsonFile } from './jsonFile.ts';

const shiftSchema = z.strictObject({
  timeUtc: z.iso.datetime(),
  altitudeShiftDeg: z.number().min(-10).max(10),
  azimuthShiftDeg: z.number().min(-10).max(10),
  sigmaAltitudeShiftDeg: z.number().positive(),
  sigmaAzimuthShiftDeg: z.number().positive(),
});

const shiftsFile = z.strictObject({
  schema: z.literal(1),
  kind: z.enum(['lockings', 'loads']),
  mount: z.string().max(30),
  /** What went on, of loads. */
  load: z.string().max(30).optional(),
  /** Under the other pole a shift toward east is one toward west of the mount. */
  pole: z.enum(['north', 'south']),
  /** Oldest first. */
  shifts: z.array(shiftSchema).max(100),
});
type ShiftsFile = z.infer<typeof shiftsFile>;

/** What moved the axis: the locking of the bolts, or a load of this name that went on. */
export type Mover = 'locking' | { load: string };

/** A load is told apart by its name. */
export const ofMover = (words: string, mover: Mover): string =>
  mover === 'locking' ? words : `${words} Load: ${mover.load}.`;

/** Older shifts than these tell nothing of bolts that wear. */
const mostKept = 12;

const loadsPath = (mount: string, load = ''): string => storePath('loads', fileNameOf(mount), load);

const shiftsPath = (mover: Mover, mount: string): string =>
  mover === 'locking'
    ? storePath('lockings', `${fileNameOf(mount)}.json`)
    : loadsPath(mount, `${fileNameOf(mover.load)}.json`);

function ofPole(
  kept: ShiftsFile | undefined,
  mover: Mover,
  mount: string,
  { latitudeRad }: Pick<Site, 'latitudeRad'>,
): ShiftsFile {
  const pole = latitudeRad >= 0 ? 'north' : 'south';
  if (kept?.pole === pole) return kept;
  const of = mover === 'locking' ? ({ kind: 'lockings' } as const) : ({ kind: 'loads', load: mover.load } as const);
  return { schema: 1, ...of, mount, pole, shifts: [] };
}

/** What locking, or a load, did to a mount, oldest first. Throws Failure where the file is damaged, or a name cannot be one. */
export async function loadShifts(
  mover: Mover,
  options: ClippingOptions,
  site: Pick<Site, 'latitudeRad'>,
): Promise<SeenShift[]> {
  const { mount } = clippingOf(options);
  const kept = await readJsonFile(shiftsPath(mover, mount), shiftsFile);
  return ofPole(kept, mover, mount, site).shifts.map((shift) => ({
    altitudeShiftRad: shift.altitudeShiftDeg * degree,
    azimuthShiftRad: shift.azimuthShiftDeg * degree,
    covariance: [(shift.sigmaAltitudeShiftDeg * degree) ** 2, 0, 0, (shift.sigmaAzimuthShiftDeg * degree) ** 2],
  }));
}

/** Remembers one more shift of a mount. Throws Failure where it cannot be written. */
export async function keepShift(
  { altitudeShiftRad, azimuthShiftRad, covariance }: SeenShift,
  mover: Mover,
  options: ClippingOptions,
  site: Pick<Site, 'latitudeRad'>,
  now: Date,
): Promise<void> {
  const { mount } = clippingOf(options);
  const made = {
    timeUtc: now.toISOString(),
    altitudeShiftDeg: altitudeShiftRad / degree,
    azimuthShiftDeg: azimuthShiftRad / degree,
    sigmaAltitudeShiftDeg: Math.sqrt(covariance[0]) / degree,
    sigmaAzimuthShiftDeg: Math.sqrt(covariance[3]) / degree,
  };
  await changeJsonFile(shiftsPath(mover, mount), shiftsFile, (kept) => {
    const file = ofPole(kept, mover, mount, site);
    return { ...file, shifts: [...file.shifts, made].slice(-mostKept) };
  });
}

/** Names of the loads that are remembered of a mount. */
export async function keptLoads(options: ClippingOptions): Promise<string[]> {
  const { mount } = clippingOf(options);
  const files = await readdir(loadsPath(mount)).catch((): string[] => []);
  const kept = files.filter((file) => file.endsWith('.json'));
  const read = await Promise.all(kept.map((file) => readJsonFile(loadsPath(mount, file), shiftsFile)));
  return read.flatMap((file) => file?.load ?? []);
}

export const loadLockings = (options: ClippingOptions, site: Pick<Site, 'latitudeRad'>): Promise<SeenShift[]> =>
  loadShifts('locking', options, site);

export const keepLocking = (
  shift: SeenShift,
  options: ClippingOptions,
  site: Pick<Site, 'latitudeRad'>,
  now: Date,
): Promise<void> => keepShift(shift, 'locking', options, site, now);
