import { degree } from '../../calibration/angle.ts';
import type { ClearStretch, MountSide } from '../sky/mountSide.ts';
import { whereWords } from '../sky/visible.ts';
import { inDeg, rounded } from '../words/figures.ts';

const clock = (date: Date): string => `${date.toISOString().slice(11, 16)} UTC`;

/** "2 h 05 min", "12 min". */
export function spanWords(minutes: number): string {
  const whole = Math.round(Math.abs(minutes));
  const rest = whole % 60;
  return whole < 60 ? `${whole} min` : `${Math.floor(whole / 60)} h ${String(rest).padStart(2, '0')} min`;
}

const stretchWords = ({ fromUtc, untilUtc }: ClearStretch, at: Date): string => {
  const from = fromUtc <= at ? 'now' : clock(fromUtc);
  return untilUtc ? `from ${from} until ${clock(untilUtc)}` : `from ${from} on`;
};

function clearWords({ isHidden, clear }: MountSide, at: Date): string {
  if (clear.length === 0) return 'It does not rise clear of the horizon and of what you marked on it within a day.';
  if (!isHidden && clear.length === 1 && !clear[0].untilUtc)
    return 'It stays above the horizon and clear of what you marked on it.';
  return `${isHidden ? 'It is hidden now. ' : ''}It is above the horizon and clear of what you marked on it ${clear.map((stretch) => stretchWords(stretch, at)).join(', and ')}.`;
}

/** Less air than this between tube and tripod is near: a hand does not fit between. */
const nearMm = 50;

function nearestWords({ nearest }: MountSide): string[] {
  if (!nearest) return [];
  const { clearanceMm, utc } = nearest;
  if (clearanceMm <= 0)
    return [`Caution: the tube meets the tripod or the ground at ${clock(utc)}. Flip or stop before then.`];
  const room = `${clearanceMm.toFixed(0)} mm between tube and tripod at the nearest, ${clock(utc)}.`;
  return clearanceMm < nearMm ? [`Caution: only ${room} Watch it there.`] : [`At least ${room}`];
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
  if (minutesToFlip === undefined) return `The counterweight never rises to ${above} here: no flip is needed.`;
  if (hiddenBeforeFlip(sideNow)) return `It goes out of sight before a flip is needed: stay on the ${side} side.`;
  return `Flip within ${spanWords(minutesToFlip)}: then the counterweight rises to ${above}.`;
}

/** "flip in 2 h 05 min", "out of sight at 23:10 UTC", in a list. */
export function untilWords(sideNow: MountSide): string {
  const hidden = hiddenBeforeFlip(sideNow);
  if (hidden) return `out of sight at ${clock(hidden)}`;
  return sideNow.minutesToFlip === undefined ? 'no flip' : `flip in ${spanWords(sideNow.minutesToFlip)}`;
}

function placeRemarks({ place, counterweightAltitudeRad: counterweight }: MountSide): string[] {
  const remarks: string[] = [];
  if (place.altitudeRad > 80 * degree)
    remarks.push('Near the zenith the eyepiece end comes close to the tripod: turn slowly and look.');
  if (Math.abs(place.declinationRad) > 80 * degree)
    remarks.push('So near the celestial pole the tube hardly moves; the flip is still a half turn of both axes.');
  if (counterweight > -2 * degree)
    remarks.push('The counterweight is nearly level now: either side serves for a few minutes.');
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
  if (name === 'Sun')
    return ['The Sun is never observed through an instrument: it blinds at once. By day its shadow gives the azimuth.'];
  if (place.refractedAltitudeRad < 0)
    return [
      `${target === name ? name : 'This direction'} is below the horizon. ${clearWords(sideNow, at)}`,
      ...(notNow === '' ? [] : [notNow]),
    ];
  if (notNow !== '')
    return [
      notNow,
      `For planning: ${target} stands ${whereWords(place)}; the tube would be ${side} of the mount. ${flipWords(sideNow, allowedDeg)}`,
    ];
  return [
    `Put the tube ${side} of the mount for ${target}, ${whereWords(place)}.`,
    minutesToMeridian > 0
      ? `It crosses the meridian in ${spanWords(minutesToMeridian)}.`
      : `It crossed the meridian ${spanWords(minutesToMeridian)} ago.`,
    flipWords(sideNow, allowedDeg),
    ...(minutesOnOtherSide > 1
      ? [`A tube that is still ${other} of the mount may stay there for ${spanWords(minutesOnOtherSide)}.`]
      : []),
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
