import { readdir } from 'node:fs/promises';
import { z } from 'zod';
import type { AxisModel } from '../../calibration/axisModel.ts';
import { degree } from '../../calibration/angle.ts';
import type { SwingResult } from '../../calibration/swing/types.ts';
import type { TumbleCalibration } from '../../calibration/tumble/types.ts';
import { axisModelAt, calibrationAt } from '../../calibration/warmth.ts';
import type { Hello } from '../../firmware-proto/wire.ts';
import type { Site } from '../site/site.ts';
import { axisModelFields, axisModelFromFile, axisModelToFile } from './axisModelFile.ts';
import { changeC, differs, temperatureCautions, untoldCautions } from './belongs.ts';
import {
  boardKey,
  boardKeySchema,
  calibrationFileSchema,
  calibrationFromFile,
  calibrationToFile,
  type KeptCalibration,
} from './calibrationFile.ts';
import { clippingOf, fileNameOf, type Clipping, type ClippingOptions } from './clipping.ts';
import { storePath } from './folder.ts';
import { readJsonFile, saveJsonFile } from './jsonFile.ts';

/** What a profile was looked up for does not fit: in words, with what to do. */
interface NotApplied {
  reason: string;
}

/** A swing's field belongs to its place: further off it must be repeated. */
const sameSiteM = 200;

const swingFileSchema = z.strictObject({
  schema: z.literal(1),
  kind: z.literal('swing'),
  savedUtc: z.iso.datetime(),
  board: boardKeySchema,
  mount: z.string().max(30),
  clip: z.string().max(30),
  site: z.strictObject({ latitudeDeg: z.number().min(-90).max(90), longitudeDeg: z.number().min(-180).max(180) }),
  ...axisModelFields,
});

const calibrationPath = (boardId: string): string => storePath('calibrations', `${boardId}.json`);
const swingFolder = (boardId: string): string => storePath('swings', boardId);
const swingPath = (boardId: string, { mount, clip }: Clipping): string =>
  storePath('swings', boardId, `${fileNameOf(mount)}--${fileNameOf(clip)}.json`);

/** Keeps the calibration of the board that said `hello`; the one before stays beside it as `.old`. */
export const saveCalibration = (
  hello: Omit<Hello, 'kind'>,
  calibration: TumbleCalibration,
  temperatureC?: number,
): Promise<void> =>
  saveJsonFile(
    calibrationPath(hello.boardId),
    calibrationFileSchema,
    calibrationToFile(calibration, { board: boardKey(hello), temperatureC }),
  );

/**
 * The kept calibration of this very board, chips, orientation and firmware, with cautions, and less sure where the board is warmer
 * or colder now; or why there is none.
 */
export async function findCalibration(
  hello: Omit<Hello, 'kind'>,
  temperatureC?: number,
): Promise<(KeptCalibration & { cautions: string[] }) | NotApplied> {
  const file = await readJsonFile(calibrationPath(hello.boardId), calibrationFileSchema);
  if (!file) return { reason: `Board ${hello.boardId} has not been calibrated yet: tumble it, away from iron.` };
  const kept = calibrationFromFile(file);
  const mismatch = differs(kept.board, hello);
  if (mismatch) return { reason: `The saved calibration is not used: ${mismatch} Tumble the board again.` };
  return {
    ...kept,
    calibration: calibrationAt(kept.calibration, changeC(kept, temperatureC, hello)),
    cautions: [
      ...temperatureCautions('calibration', kept.temperatureC, temperatureC),
      ...untoldCautions('calibration', kept, hello),
    ],
  };
}

/** Keeps a swing for the board, mount and clip, with the site where it was made. */
export async function saveSwing(
  hello: Omit<Hello, 'kind'>,
  site: Pick<Site, 'latitudeRad' | 'longitudeRad'>,
  { axisModel: model }: Pick<SwingResult, 'axisModel'>,
  about: ClippingOptions & { temperatureC?: number } = {},
): Promise<void> {
  const { temperatureC } = about;
  const clipping = clippingOf(about);
  const file: z.infer<typeof swingFileSchema> = {
    schema: 1,
    kind: 'swing',
    savedUtc: new Date().toISOString(),
    board: boardKey(hello),
    ...clipping,
    site: { latitudeDeg: site.latitudeRad / degree, longitudeDeg: site.longitudeRad / degree },
    ...axisModelToFile(model),
    temperatureC: model.temperatureC ?? temperatureC,
  };
  await saveJsonFile(swingPath(hello.boardId, clipping), swingFileSchema, file);
}

/** The axis model of the last swing, where it fits board, mount, clip and site, with cautions; or why there is none. */
export async function findAxisModel(
  hello: Omit<Hello, 'kind'>,
  site: Pick<Site, 'latitudeRad' | 'longitudeRad'>,
  about: ClippingOptions & { temperatureC?: number } = {},
): Promise<{ model: AxisModel; savedUtc: string; cautions: string[] } | NotApplied> {
  const clipping = clippingOf(about);
  const file = await readJsonFile(swingPath(hello.boardId, clipping), swingFileSchema);
  if (!file) return { reason: await whyNoSwing(hello.boardId, clipping) };
  const not = (why: string): NotApplied => ({ reason: `The saved swing is not used: ${why} Swing the axis again.` });
  const mismatch = differs(file.board, hello);
  if (mismatch) return not(mismatch);
  const apartM = distanceM(file.site, site);
  if (apartM > sameSiteM) return not(`it was made ${(apartM / 1000).toFixed(1)} km from here.`);
  return {
    // of a board with a thermometer the needles themselves reckon with its warmth
    model: axisModelAt(axisModelFromFile(file), changeC(file, undefined, hello)),
    savedUtc: file.savedUtc,
    cautions: [
      ...temperatureCautions('swing', file.temperatureC, about.temperatureC),
      ...untoldCautions('swing', file, hello),
      ...(Date.now() - Date.parse(file.savedUtc) > 18 * 3_600_000
        ? ['The swing is older than this night: swing again if the board was taken off or the mount was moved.']
        : []),
    ],
  };
}

/** There is none for this mount and clip; perhaps for others. */
async function whyNoSwing(boardId: string, { mount, clip }: Clipping): Promise<string> {
  const names = await readdir(swingFolder(boardId)).catch(() => []);
  const others: string[] = [];
  for (const name of names.filter((each) => each.endsWith('.json'))) {
    const other = await readJsonFile(storePath('swings', boardId, name), swingFileSchema);
    if (other) others.push(`"${other.mount}" with "${other.clip}"`);
  }
  return others.length === 0
    ? `Board ${boardId} has not been swung on a mount yet: clip it on and swing the axis.`
    : `The saved swing is not used: it was made on ${others.join(', ')}, not on "${mount}" with "${clip}". ` +
        'Name it with --mount and --clip, or swing the axis again.';
}

/** Over the ground, on a sphere; good to a percent. */
function distanceM(
  from: { latitudeDeg: number; longitudeDeg: number },
  to: Pick<Site, 'latitudeRad' | 'longitudeRad'>,
): number {
  const latitude = from.latitudeDeg * degree;
  const [north, east] = [to.latitudeRad - latitude, to.longitudeRad - from.longitudeDeg * degree];
  const eastWrapped = Math.atan2(Math.sin(east), Math.cos(east));
  return 6_371_000 * Math.hypot(north, eastWrapped * Math.cos(latitude));
}
