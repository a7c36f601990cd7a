import type { Command } from 'commander';
import { exitCode, Failure } from '../failure.ts';
import { say } from '../output.ts';
import { loadSite } from '../store/site.ts';
import { assumedEastWords, parseElevation, parseLatitude, parseLongitude } from '../site/coordinates.ts';
import { findPlace } from '../site/places.ts';
import { parsePosition } from '../site/position.ts';
import type { Site } from '../site/site.ts';

export interface SiteOptions {
  lat?: string;
  lon?: string;
  position?: string;
  place?: string;
  elevation?: string;
}

/** Adds the options by which every command is told where it stands; without them the saved site is taken. */
export const addSiteOptions = (command: Command): Command =>
  command
    .option('--lat <latitude>', 'latitude, north positive: 46.43, 46d25\'50"N, "46 25 50 N"')
    .option('--lon <longitude>', "longitude, east positive: -118.6, 118d36'W")
    .option('--position <both>', 'both in one: "46.43, -118.6", a geo: link, or a grid locator such as DN06qk83')
    .option('--place <town>', 'a town of the shipped list instead of coordinates')
    .option('--elevation <height>', 'height: 350, "350 m", "1150 ft"');

/** The site that the options name; undefined when they name none. Throws Failure. */
export function siteOfOptions(options: SiteOptions): Site | undefined {
  const ways = [options.lat ?? options.lon, options.position, options.place].filter((way) => way !== undefined);
  if (ways.length > 1) {
    throw new Failure(exitCode.usage, 'The site is given twice.', 'Give --lat and --lon, or --position, or --place.');
  }
  const elevationM = options.elevation === undefined ? 0 : parseElevation(options.elevation);
  if (options.place !== undefined) {
    const { name, latitudeRad, longitudeRad } = findPlace(options.place);
    return { name, latitudeRad, longitudeRad, elevationM };
  }
  if (options.position !== undefined) {
    const { remark, ...position } = parsePosition(options.position);
    if (remark !== '') say(remark);
    return { elevationM: 0, ...position, ...(options.elevation !== undefined && { elevationM }) };
  }
  if (options.lat !== undefined && options.lon !== undefined) {
    const assumed = assumedEastWords(options.lon);
    if (assumed !== '') say(assumed);
    return { latitudeRad: parseLatitude(options.lat), longitudeRad: parseLongitude(options.lon), elevationM };
  }
  if (options.lat === undefined && options.lon === undefined) return undefined;
  throw new Failure(
    exitCode.usage,
    `Only the ${options.lat === undefined ? 'longitude' : 'latitude'} is given.`,
    'Give both --lat and --lon.',
  );
}

/** The site of the options, else the saved one. Throws Failure when there is neither. */
export async function requireSite(options: SiteOptions): Promise<Site> {
  const site = siteOfOptions(options) ?? (await loadSite());
  if (site) return options.elevation === undefined ? site : { ...site, elevationM: parseElevation(options.elevation) };
  throw new Failure(
    exitCode.usage,
    'The site is not known.',
    'Give --lat and --lon, or --place; or save it once: lodepole site --lat 46.43 --lon -118.6 --save',
  );
}
