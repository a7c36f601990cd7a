import { z } from 'zod';
import { degree } from '../../calibration/angle.ts';
import type { SeenShift } from '../../calibration/nudge/habit.ts';
import type { Site } from '../site/site.ts';
import { clippingOf, fileNameOf, type ClippingOptions } from './clipping.ts';
import { storePath } from './folder.ts';
import { changeJsonFile, readJsonFile } from './jsonFile.ts';

const shiftSchema = z.strictObject({
  timeUtc: z.iso.datetime(),
  altitudeShiftDeg: z.number().min(-10).max(10),
  azimuthShiftDeg: z.number().min(-10).max(10),
  sigmaAltitudeShiftDeg: z.number().positive(),
  sigmaAzimuthShiftDeg: z.number().positive(),
});

const lockingsFile = z.strictObject({
  schema: z.literal(1),
  kind: z.literal('lockings'),
  mount: z.string().max(30),
  /** Under the other pole a shift toward east is one toward west of the mount. */
  pole: z.enum(['north', 'south']),
  /** Oldest first. */
  shifts: z.array(shiftSchema).max(100),
});
type LockingsFile = z.infer<typeof lockingsFile>;

/** Older lockings than these tell nothing of bolts that wear. */
const mostKept = 12;

const lockingsPath = (mount: string): string => storePath('lockings', `${fileNameOf(mount)}.json`);

const ofPole = (
  kept: LockingsFile | undefined,
  mount: string,
  { latitudeRad }: Pick<Site, 'latitudeRad'>,
): LockingsFile => {
  const pole = latitudeRad >= 0 ? 'north' : 'south';
  return kept?.pole === pole ? kept : { schema: 1, kind: 'lockings', mount, pole, shifts: [] };
};

/** What locking the bolts of a mount did, oldest first. Throws Failure where the file is damaged. */
export async function loadLockings(options: ClippingOptions, site: Pick<Site, 'latitudeRad'>): Promise<SeenShift[]> {
  const { mount } = clippingOf(options);
  const { shifts } = ofPole(await readJsonFile(lockingsPath(mount), lockingsFile), mount, site);
  return shifts.map((shift) => ({
    altitudeShiftRad: shift.altitudeShiftDeg * degree,
    azimuthShiftRad: shift.azimuthShiftDeg * degree,
    covariance: [(shift.sigmaAltitudeShiftDeg * degree) ** 2, 0, 0, (shift.sigmaAzimuthShiftDeg * degree) ** 2],
  }));
}

/** Remembers one more locking of a mount. Throws Failure where it cannot be written. */
export async function keepLocking(
  { altitudeShiftRad, azimuthShiftRad, covariance }: SeenShift,
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
  await changeJsonFile(lockingsPath(mount), lockingsFile, (kept) => {
    const file = ofPole(kept, mount, site);
    return { ...file, shifts: [...file.shifts, made].slice(-mostKept) };
  });
}
