import { Body, Illumination } from 'astronomy-engine';
import { degree } from '../../calibration/angle.ts';
import { exitCode, Failure } from '../failure.ts';
import { isHidden } from '../site/horizon.ts';
import type { Site } from '../site/site.ts';
import { capital } from '../words/capital.ts';
import { placeOf, type Target } from './place.ts';
import { firstMagnitude, firstWithinDay, minuteWords, starlight, sunWatch } from './starlight.ts';
import { nameOf } from './target.ts';
import { lowestAltitudeRad, starsToTake } from './visible.ts';

/** Why a target may not be taken through an instrument, and what to do, as sentences. */
interface NotNow {
  reason: string;
  whatToDo: string;
  sunAltitudeRad: number;
}

const mostOthers = 3;
/** Bright enough to be found early, and many enough that some stand well from anywhere. */
const othersMagnitude = 2;

function magnitudeOf(target: Target, date: Date): number {
  if (target.kind === 'star') return target.star.magnitude;
  return target.kind === 'body' ? Illumination(target.body, date).mag : firstMagnitude;
}

/** The brightest that stand well as soon as it is dark enough for them; by night those of now. */
function othersWords(site: Site, date: Date): string {
  for (const magnitude of [othersMagnitude, firstMagnitude]) {
    const { darkFrom } = starlight(site, date, magnitude);
    const others = darkFrom ? starsToTake(site, darkFrom) : [];
    if (!darkFrom || others.length === 0) continue;
    const names = others
      .sort((one, other) => one.star.magnitude - other.star.magnitude)
      .slice(0, mostOthers)
      .map(({ star }) => star.name);
    const from = darkFrom.getTime() > date.getTime() ? ` from ${minuteWords(darkFrom)} on` : '';
    return `Take ${names.join(', ').replace(/, ([^,]*)$/, ' or $1')}${from} instead.`;
  }
  return 'By day the shadow of the Sun gives the azimuth: lodepole sight --sun';
}

/** From when on the target may be taken: when it stands well in the dark. Where it does not within a day, why, and what instead. */
function whenWords(target: Target, name: string, magnitude: number, site: Site, date: Date): string {
  const watch = sunWatch(site);
  const isDark = (ms: number): boolean => watch(ms).faintestMagnitude >= magnitude;
  const standsWell = (ms: number): boolean => {
    const { azimuthRad, refractedAltitudeRad } = placeOf(target, site, new Date(ms));
    return refractedAltitudeRad >= lowestAltitudeRad && !isHidden(site.horizon, azimuthRad, refractedAltitudeRad);
  };
  const start = date.getTime();
  const from = firstWithinDay(start, (ms) => isDark(ms) && standsWell(ms));
  if (from) return `Take ${name} from ${minuteWords(from)} on.`;
  const least = `${Math.round(lowestAltitudeRad / degree)}°`;
  const why = !firstWithinDay(start, isDark)
    ? 'Within the next 24 hours the Sun does not sink far enough.'
    : firstWithinDay(start, standsWell)
      ? `Within the next 24 hours ${name} stands ${least} high only by day.`
      : `${capital(name)} does not rise ${least} high here${site.horizon?.length ? ' and clear of what you marked on the horizon' : ''}.`;
  return `${why} ${othersWords(site, date)}`;
}

/** Undefined where `target` may be taken through an instrument from `site` at `date`, for the Sun's sake. */
export function whyNotNow(target: Target, site: Site, date: Date): NotNow | undefined {
  if (target.kind === 'body' && target.body === Body.Sun) {
    return {
      reason: 'Never look at the Sun through an instrument: it blinds at once.',
      whatToDo: 'By day go by its shadow: lodepole sight --sun',
      sunAltitudeRad: placeOf(target, site, date).altitudeRad,
    };
  }
  const { sunAltitudeRad, faintestMagnitude, reason } = starlight(site, date);
  const magnitude = magnitudeOf(target, date);
  if (faintestMagnitude >= magnitude) return undefined;
  const name = target.kind === 'direction' ? 'this direction' : nameOf(target).replace(/^Moon$/, 'the Moon');
  return {
    reason: `Do not take ${name} now. ${reason}`.trim(),
    whatToDo: whenWords(target, name, magnitude, site, date),
    sunAltitudeRad,
  };
}

/** The same as one text; empty where it may. */
export function notNowWords(target: Target, site: Site, date: Date): string {
  const not = whyNotNow(target, site, date);
  return not ? `${not.reason} ${not.whatToDo}` : '';
}

/** Throws Failure, with when it may be taken or what to take instead, where `target` may not be taken through an instrument at `date`. */
export function requireStarlight(target: Target, site: Site, date: Date): void {
  const not = whyNotNow(target, site, date);
  if (not) throw new Failure(exitCode.refused, not.reason, not.whatToDo);
}
