import { Body } from 'astronomy-engine';
import { arcminute, degree } from '../../calibration/angle.ts';
import type { Site } from '../site/site.ts';
import { placeOf, type Target } from './place.ts';

/** Whether stars may be taken through an instrument. */
interface Starlight {
  /** Of the Sun's centre, unrefracted; negative below the horizon. */
  sunAltitudeRad: number;
  /** Magnitude of the faintest star that may be taken; -Infinity where none may. */
  faintestMagnitude: number;
  /** When stars of the asked brightness may be taken: the asked instant where they may, null where not within a day. */
  darkFrom: Date | null;
  /** Why some or all stars may not be taken, and when they may, as sentences; both empty in the dark. */
  reason: string;
  whatToDo: string;
}

const sun: Target = { kind: 'body', body: Body.Sun };
/** The upper edge rises and sets when the centre stands 50' below the horizon (Meeus 1998, ch. 15); 10' to spare. */
const sunIsSeenRad = -1 * degree;
const aheadMs = 20 * 60_000;
const stepMs = 5 * 60_000;
const dayMs = 24 * 3_600_000;
const resolutionMs = 10_000;
export const firstMagnitude = 1;
/** Fainter than the stars of the list, but for one at the southern pole. */
const darkMagnitude = 4;

/** How far the horizon lies below level, seen from a mountain: 1.76' for the root of a metre (Nautical Almanac). */
const dipRad = ({ elevationM }: Site): number => 1.76 * arcminute * Math.sqrt(Math.max(0, elevationM));

/**
 * The faintest star that is found, by the Sun's altitude: of the first magnitude when civil twilight ends (-6 degrees), of the
 * fourth when nautical twilight ends (-12), evenly between and beyond (common practice).
 */
const magnitudeFound = (sunAltitudeRad: number): number => -2 - sunAltitudeRad / degree / 2;

type Look = Pick<Starlight, 'sunAltitudeRad' | 'faintestMagnitude'> & { isRising: boolean };

/** Looks at the Sun at an instant and in the twenty minutes after it. */
export function sunWatch(site: Site): (ms: number) => Look {
  const known = new Map<number, number>();
  const altitudeAt = (ms: number): number => {
    const altitudeRad = known.get(ms) ?? placeOf(sun, site, new Date(ms)).altitudeRad;
    known.set(ms, altitudeRad);
    return altitudeRad;
  };
  return (ms) => {
    const sunAltitudeRad = altitudeAt(ms);
    let highestRad = sunAltitudeRad;
    for (let at = ms; at <= ms + aheadMs; at += stepMs) highestRad = Math.max(highestRad, altitudeAt(at));
    const isSeen = highestRad > sunIsSeenRad - dipRad(site);
    return {
      sunAltitudeRad,
      faintestMagnitude: isSeen ? -Infinity : magnitudeFound(sunAltitudeRad),
      isRising: highestRad > sunAltitudeRad,
    };
  };
}

/** Magnitude of the faintest star that may be taken from `site` at `date`; -Infinity where none may. */
export const faintestMagnitude = (site: Site, date: Date): number => sunWatch(site)(date.getTime()).faintestMagnitude;

/** The first instant within a day from `startMs` on for which `holds`, to ten seconds. */
export function firstWithinDay(startMs: number, holds: (ms: number) => boolean): Date | null {
  for (let ms = startMs; ms <= startMs + dayMs; ms += stepMs) {
    if (!holds(ms)) continue;
    let [low, high] = [ms - stepMs, ms];
    while (ms > startMs && high - low > resolutionMs) {
      const middle = (low + high) / 2;
      if (holds(middle)) high = middle;
      else low = middle;
    }
    return new Date(high);
  }
  return null;
}

function reasonOf({ sunAltitudeRad, faintestMagnitude, isRising }: Look): string {
  if (faintestMagnitude >= darkMagnitude) return '';
  const degrees = `${Math.abs(sunAltitudeRad / degree).toFixed(1)}°`;
  if (faintestMagnitude > -Infinity) {
    return `The Sun is only ${degrees} below the horizon: stars fainter than magnitude ${faintestMagnitude.toFixed(1)} cannot be found.`;
  }
  const where =
    sunAltitudeRad > 0
      ? `The Sun is up, ${degrees} high`
      : `The Sun is only ${degrees} below the horizon${isRising ? ' and about to rise' : ''}`;
  return `${where}: take no star, planet or Moon.`;
}

/** "2026-11-29 17:12 UTC", the next full minute. */
export const minuteWords = (date: Date): string =>
  `${new Date(Math.ceil(date.getTime() / 60_000) * 60_000).toISOString().slice(0, 16).replace('T', ' ')} UTC`;

/**
 * Whether stars may be taken from `site` at `date`: none while the Sun stands above -1 degree (lower where the site is high) or comes
 * there within twenty minutes, in twilight the bright ones only.
 * @param magnitude for which `darkFrom` and `whatToDo` hold
 */
export function starlight(site: Site, date: Date, magnitude = firstMagnitude): Starlight {
  const watch = sunWatch(site);
  const look = watch(date.getTime());
  const darkFrom = firstWithinDay(date.getTime(), (ms) => watch(ms).faintestMagnitude >= magnitude);
  const whatToDo = darkFrom
    ? `Take stars of the first magnitude from ${minuteWords(darkFrom)} on.`
    : 'Within the next 24 hours the Sun does not sink far enough. By day its shadow gives the azimuth.';
  return {
    sunAltitudeRad: look.sunAltitudeRad,
    faintestMagnitude: look.faintestMagnitude,
    darkFrom,
    reason: reasonOf(look),
    whatToDo: look.faintestMagnitude >= magnitude ? '' : whatToDo,
  };
}

/** Why no star of the list is named, in sentences. */
export const noStarWords = ({ reason, whatToDo }: Starlight): string =>
  `${reason} ${whatToDo}`.trim() || 'No listed star is visible from here now.';

/** What JSON says beside an empty list of stars. */
export const starlightJson = ({ reason, whatToDo, sunAltitudeRad, darkFrom }: Starlight) => ({
  reason: `${reason} ${whatToDo}`.trim(),
  sunAltitudeDeg: Number((sunAltitudeRad / degree).toFixed(3)),
  darkFrom: darkFrom?.toISOString() ?? null,
});
