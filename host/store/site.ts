import { z } from 'zod';
import { degree } from '../../calibration/angle.ts';
import type { Site } from '../site/site.ts';
import { changeJsonFile, readJsonFile, saveJsonFile } from './jsonFile.ts';
import { storePath } from './folder.ts';

/** A site as files keep it: degrees, rounded to 0.01 mm. */
export const savedSite = z.strictObject({
  schema: z.literal(1),
  name: z.string().min(1).max(80).optional(),
  latitudeDeg: z.number().min(-90).max(90),
  longitudeDeg: z.number().min(-180).max(180),
  elevationM: z.number().min(-500).max(9000),
  horizon: z
    .array(
      z.strictObject({
        fromAzimuthDeg: z.number().min(0).max(360),
        toAzimuthDeg: z.number().min(0).max(360),
        altitudeDeg: z.number().min(-90).max(90),
      }),
    )
    .max(720)
    .optional(),
  deviation: z
    .strictObject({
      eastDeg: z.number().min(-180).max(180),
      sigmaEastDeg: z.number().positive(),
      keptUtc: z.iso.datetime(),
      foundBy: z.enum(['the Sun', 'a stand-off']).default('the Sun'),
    })
    .optional(),
});

/** Ten decimals of a degree (0.01 mm) keep a saved angle readable. */
const rounded = (angleRad: number): number => Number((angleRad / degree).toFixed(10));

const sitePath = (): string => storePath('site.json');

export const toSavedSite = (site: Site): z.infer<typeof savedSite> => ({
  schema: 1,
  name: site.name,
  latitudeDeg: rounded(site.latitudeRad),
  longitudeDeg: rounded(site.longitudeRad),
  elevationM: site.elevationM,
  deviation: site.deviation && {
    eastDeg: rounded(site.deviation.eastRad),
    sigmaEastDeg: rounded(site.deviation.sigmaRad),
    keptUtc: site.deviation.keptUtc,
    foundBy: site.deviation.foundBy,
  },
  horizon: site.horizon?.map((sector) => ({
    fromAzimuthDeg: rounded(sector.fromAzimuthRad),
    toAzimuthDeg: rounded(sector.toAzimuthRad),
    altitudeDeg: rounded(sector.altitudeRad),
  })),
});

export const fromSavedSite = (saved: z.infer<typeof savedSite>): Site => ({
  name: saved.name,
  latitudeRad: saved.latitudeDeg * degree,
  longitudeRad: saved.longitudeDeg * degree,
  elevationM: saved.elevationM,
  deviation: saved.deviation && {
    eastRad: saved.deviation.eastDeg * degree,
    sigmaRad: saved.deviation.sigmaEastDeg * degree,
    keptUtc: saved.deviation.keptUtc,
    foundBy: saved.deviation.foundBy,
  },
  horizon: saved.horizon?.map((sector) => ({
    fromAzimuthRad: sector.fromAzimuthDeg * degree,
    toAzimuthRad: sector.toAzimuthDeg * degree,
    altitudeRad: sector.altitudeDeg * degree,
  })),
});

/** Keeps the site for all commands to come. */
export const saveSite = (site: Site): Promise<void> => saveJsonFile(sitePath(), savedSite, toSavedSite(site));

/**
 * Keeps what `change` makes of the saved site, undefined where there is none that can be read; nobody else saves between.
 * What it throws is passed on, and nothing is saved.
 */
export const changeSite = async (change: (saved: Site | undefined) => Site): Promise<Site> =>
  fromSavedSite(
    await changeJsonFile(sitePath(), savedSite, (saved) => toSavedSite(change(saved && fromSavedSite(saved)))),
  );

/** The saved site; undefined when none was saved. */
export async function loadSite(): Promise<Site | undefined> {
  const saved = await readJsonFile(sitePath(), savedSite);
  return saved && fromSavedSite(saved);
}
