import { clearanceMm, type Measures } from '../../calibration/clearance.ts';
import { skyRadPerS } from '../../calibration/enough.ts';
import { counterweightAltitudeRad, hourAngleToFlipRad } from '../../calibration/side.ts';
import { sideWithCounterweightBelow, type Side } from '../../calibration/sight/sightModel.ts';
import { isHidden } from '../site/horizon.ts';
import type { Site } from '../site/site.ts';
import { placeOf, type Place, type Target } from './place.ts';

/** A stretch of time in which a target stands above the horizon and what is marked on it. */
export interface ClearStretch {
  fromUtc: Date;
  /** Absent: still clear a day after the asked instant. */
  untilUtc?: Date;
}

interface NearestApproach {
  clearanceMm: number;
  utc: Date;
}

/** On which side of the mount a target is to be observed, for how long, and what may be in the way. */
export interface MountSide {
  place: Place;
  side: Side;
  counterweightAltitudeRad: number;
  /** To the upper meridian; < 0: since. */
  minutesToMeridian: number;
  /** Until the counterweight stands higher than is allowed, with the tube on `side`; undefined where it never does. */
  minutesToFlip?: number;
  /** How long a tube that is still on the other side may stay there; 0 or less: not allowed any more. */
  minutesOnOtherSide: number;
  isHidden: boolean;
  /** From the asked instant to a day later. */
  clear: readonly ClearStretch[];
  /** Nearest that the tube comes to tripod or ground while the target is clear, before the flip; undefined without measures. */
  nearest?: NearestApproach;
}

const minuteMs = 60_000;
const dayMinutes = 24 * 60;
const stepMinutes = 4;
const later = (date: Date, minutes: number): Date => new Date(date.getTime() + minutes * minuteMs);

/** Of a star, in radians a minute; the Moon is slower by a thirtieth, which the search below takes up. */
const ratePerMinute = 60 * skyRadPerS;

/** Minutes from `date` until the target's hour angle has grown by `turnRad`; the secant's steps take in that Sun, Moon and planets move. */
function minutesToTurn(target: Target, site: Site, date: Date, turnRad: number): number {
  const start = placeOf(target, site, date).hourAngleRad;
  let minutes = turnRad / ratePerMinute;
  for (let i = 0; i < 4; i += 1) {
    const turned = placeOf(target, site, later(date, minutes)).hourAngleRad - start;
    const missed = Math.atan2(Math.sin(turnRad - turned), Math.cos(turnRad - turned));
    minutes += missed / ratePerMinute;
  }
  return minutes;
}

const isClear = (target: Target, site: Site, date: Date): boolean => {
  const { azimuthRad, refractedAltitudeRad } = placeOf(target, site, date);
  return !isHidden(site.horizon, azimuthRad, refractedAltitudeRad);
};

/** The instant between `from` and `until` at which a target appears or disappears, to a second. */
function changeBetween(target: Target, site: Site, from: Date, until: Date): Date {
  let [low, high] = [from.getTime(), until.getTime()];
  const first = isClear(target, site, from);
  while (high - low > 1000) {
    const middle = (low + high) / 2;
    if (isClear(target, site, new Date(middle)) === first) low = middle;
    else high = middle;
  }
  return new Date(Math.round(high / 1000) * 1000);
}

/** When the target is clear of the horizon and of what is marked on it, from `date` to a day later. */
export function clearStretches(target: Target, site: Site, date: Date): ClearStretch[] {
  const stretches: ClearStretch[] = [];
  let wasClear = false;
  for (let minutes = 0; minutes <= dayMinutes; minutes += stepMinutes) {
    const now = later(date, minutes);
    const nowClear = isClear(target, site, now);
    if (nowClear && !wasClear) {
      stretches.push({
        fromUtc: minutes === 0 ? date : changeBetween(target, site, later(now, -stepMinutes), now),
      });
    } else if (!nowClear && wasClear) {
      stretches[stretches.length - 1].untilUtc = changeBetween(target, site, later(now, -stepMinutes), now);
    }
    wasClear = nowClear;
  }
  return stretches;
}

/** Where the tube comes nearest to the tripod while it follows the target for `minutes`. */
function nearestApproach(
  measures: Measures,
  { target, site, date, side }: { target: Target; site: Site; date: Date; side: Side },
  minutes: number,
): NearestApproach {
  let nearest: NearestApproach = { clearanceMm: Infinity, utc: date };
  for (let i = 0; i <= Math.ceil(minutes / stepMinutes); i += 1) {
    const utc = later(date, Math.min(i * stepMinutes, minutes));
    const { hourAngleRad, declinationRad } = placeOf(target, site, utc);
    const clear = clearanceMm(measures, hourAngleRad, declinationRad, site.latitudeRad, side);
    if (clear < nearest.clearanceMm) nearest = { clearanceMm: clear, utc };
  }
  return nearest;
}

/**
 * On which side of the mount `target` is to be observed at `date`.
 * @param allowedRad how high above level the counterweight may rise before the flip
 */
export function mountSideOf(
  target: Target,
  site: Site,
  date: Date,
  { allowedRad = 0, measures }: { allowedRad?: number; measures?: Measures } = {},
): MountSide {
  const place = placeOf(target, site, date);
  const { hourAngleRad } = place;
  const side = sideWithCounterweightBelow(hourAngleRad);
  const turnRad = hourAngleToFlipRad(hourAngleRad, site.latitudeRad, side, allowedRad);
  const minutesToFlip = Number.isFinite(turnRad) ? minutesToTurn(target, site, date, turnRad) : undefined;
  const other = side === 'west' ? 'east' : 'west';
  const otherTurnRad = hourAngleToFlipRad(hourAngleRad, site.latitudeRad, other, allowedRad);
  const clear = clearStretches(target, site, date);
  const isClearNow = clear.at(0)?.fromUtc === date;
  const clearMinutes = ((clear.at(0)?.untilUtc ?? later(date, dayMinutes)).getTime() - date.getTime()) / minuteMs;
  const followed = Math.min(minutesToFlip ?? Infinity, clearMinutes);
  return {
    place,
    side,
    counterweightAltitudeRad: counterweightAltitudeRad(hourAngleRad, site.latitudeRad, side),
    minutesToMeridian: minutesToTurn(target, site, date, -hourAngleRad),
    minutesToFlip,
    minutesOnOtherSide: Math.min(otherTurnRad / ratePerMinute, dayMinutes),
    isHidden: !isClearNow,
    clear,
    ...(measures && isClearNow && { nearest: nearestApproach(measures, { target, site, date, side }, followed) }),
  };
}
