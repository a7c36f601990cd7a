import { degree } from '../../calibration/angle.ts';
import type { ClearStretch, MountSide } from '../sky/mountSide.ts';
import { whereWords } from '../sky/visible.ts';
import { inDeg, rounded } from '../words/figures.ts';
import { texts } from './words/side.ts';

const clock = (date: Date): string => `${date.toISOString().slice(11, 16)} UTC`;

/** "2 h 05 min", "12 min". */
export function spanWords(minutes: number): string {
  const whole = Math.round(Math.abs(minutes));
  const rest = whole % 60;
  return whole < 60 ? `${whole} min` : `${Math.floor(whole / 60)} h ${String(rest).padStart(2, '0')} min`;
}

const stretchWords = ({ fromUtc, untilUtc }: ClearStretch, at: Date): string => {
  const from = fromUtc <= at ? 'now' : clock(fromUtc);
  return untilUtc ? texts.fromUntil(from, clock(untilUtc)) : texts.fromOn(from);
};

function clearWords({ isHidden, clear }: MountSide, at: Date): string {
  if (clear.length === 0) return texts.neverClear;
  if (!isHidden && clear.length === 1 && !clear[0].untilUtc) return texts.alwaysClear;
  return texts.clear(isHidden, clear.map((stretch) => stretchWords(stretch, at)).join(', and '));
}

/** Less air than this between tube and tripod is near: a hand does not fit between. */
const nearMm = 50;

function nearestWords({ nearest }: MountSide): string[] {
  if (!nearest) return [];
  const { clearanceMm, utc } = nearest;
  if (clearanceMm <= 0) return [texts.meets(clock(utc))];
  const room = texts.room(clearanceMm.toFixed(0), clock(utc));
  return clearanceMm < nearMm ? [texts.watchRoom(room)] : [texts.atLeast(room)];
}

/** When the target goes out of sight, where that is before a flip is needed. */
function hiddenBeforeFlip({ minutesToFlip = Infinity, clear, isHidden }: MountSide): Date | undefined {
  const first = clear.at(0);
  if (isHidden || !first?.untilUtc) return undefined;
  const minutes = (first.untilUtc.getTime() - first.fromUtc.getTime()) / 60_000;
  return minutes < minutesToFlip ? first.untilUtc : undefined;
}

function flipWords(sideNow: MountSide, allowedDeg: number): string {
  const { minutesToFlip, side } = sideNow;
  const above = allowedDeg === 0 ? 'level' : `${Math.abs(allowedDeg)}° ${allowedDeg > 0 ? 'above' : 'below'} level`;
  if (minutesToFlip === undefined) return texts.noFlipNeeded(above);
  if (hiddenBeforeFlip(sideNow)) return texts.outOfSight(side);
  return texts.flipWithin(spanWords(minutesToFlip), above);
}

/** "flip in 2 h 05 min", "out of sight at 23:10 UTC", in a list. */
export function untilWords(sideNow: MountSide): string {
  const hidden = hiddenBeforeFlip(sideNow);
  if (hidden) return `out of sight at ${clock(hidden)}`;
  return sideNow.minutesToFlip === undefined ? texts.noFlip : texts.flipIn(spanWords(sideNow.minutesToFlip));
}

function placeRemarks({ place, counterweightAltitudeRad: counterweight }: MountSide): string[] {
  const remarks: string[] = [];
  if (place.altitudeRad > 80 * degree) remarks.push(texts.nearZenith);
  if (Math.abs(place.declinationRad) > 80 * degree) remarks.push(texts.nearPole);
  if (counterweight > -2 * degree) remarks.push(texts.nearlyLevel);
  return remarks;
}

/**
 * Which side, how long, what is in the way.
 * @param notNow why the target may not be taken now, and when it may; empty where it may
 */
export function sideWords(name: string, sideNow: MountSide, at: Date, allowedDeg: number, notNow = ''): string[] {
  const { place, side, minutesToMeridian, minutesOnOtherSide } = sideNow;
  const other = side === 'west' ? 'east' : 'west';
  const target = name === 'direction' ? 'this direction' : name;
  if (name === 'Sun') return [texts.neverTheSun];
  if (place.refractedAltitudeRad < 0)
    return [
      texts.belowHorizon(target === name ? name : 'This direction', clearWords(sideNow, at)),
      ...(notNow === '' ? [] : [notNow]),
    ];
  if (notNow !== '')
    return [notNow, texts.forPlanning(target, whereWords(place), side, flipWords(sideNow, allowedDeg))];
  return [
    texts.putTube(side, target, whereWords(place)),
    minutesToMeridian > 0 ? texts.crosses(spanWords(minutesToMeridian)) : texts.crossed(spanWords(minutesToMeridian)),
    flipWords(sideNow, allowedDeg),
    ...(minutesOnOtherSide > 1 ? [texts.mayStay(other, spanWords(minutesOnOtherSide))] : []),
    clearWords(sideNow, at),
    ...placeRemarks(sideNow),
    ...nearestWords(sideNow),
  ];
}

export function sideJson(name: string, sideNow: MountSide, at: Date, allowedDeg: number): Record<string, unknown> {
  const { place, side, clear, nearest } = sideNow;
  const minutes = (value: number | undefined): number | null => (value === undefined ? null : rounded(value, 2));
  return {
    name,
    timeUtc: at.toISOString(),
    hourAngleDeg: inDeg(place.hourAngleRad),
    declinationDeg: inDeg(place.declinationRad),
    altitudeDeg: inDeg(place.altitudeRad),
    refractedAltitudeDeg: inDeg(place.refractedAltitudeRad),
    azimuthDeg: inDeg(place.azimuthRad),
    side,
    counterweightAltitudeDeg: inDeg(sideNow.counterweightAltitudeRad),
    minutesToMeridian: minutes(sideNow.minutesToMeridian),
    allowedAltitudeDeg: allowedDeg,
    minutesToFlip: minutes(sideNow.minutesToFlip),
    minutesOnOtherSide: minutes(sideNow.minutesOnOtherSide),
    hidden: sideNow.isHidden,
    clear: clear.map(({ fromUtc, untilUtc }) => ({
      fromUtc: fromUtc.toISOString(),
      untilUtc: untilUtc?.toISOString() ?? null,
    })),
    clearanceMm: nearest ? rounded(nearest.clearanceMm, 0) : null,
    clearanceUtc: nearest?.utc.toISOString() ?? null,
  };
}
