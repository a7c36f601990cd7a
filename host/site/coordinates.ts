import { degree } from '../../calibration/angle.ts';
import { exitCode, Failure } from '../failure.ts';

type Axis = 'latitude' | 'longitude';

const axes = {
  latitude: { letters: 'NS', limitDeg: 90, example: '46.4306, 46d25\'50"N or "46 25 50 N"' },
  longitude: { letters: 'EW', limitDeg: 360, example: '-118.6, 118d36\'W or "118 36 0 W"' },
} as const;

const number = String.raw`\d+(?:\.\d*)?|\.\d+`;
const sexagesimal = new RegExp(
  String.raw`^(?<before>[NSEW])?\s*(?<sign>[+-])?\s*(?<degrees>${number})` +
    String.raw`(?:(?:\s*(?:degrees|deg|d|:)\s*|\s+)(?<minutes>${number})` +
    String.raw`(?:(?:\s*(?:minutes|min|m|'|:)\s*|\s+)(?<seconds>${number})\s*(?:seconds|sec|"|s(?=\s*[NSEW]?$))?|\s*(?:minutes|min|m|'))?` +
    String.raw`|\s*(?:degrees|deg|d))?\s*(?<after>[NSEW])?$`,
  'i',
);

const unified = (text: string): string =>
  text
    .trim()
    .replace(/[−–—]/g, '-')
    .replace(/[°º˚]/g, 'd')
    .replace(/[′’‘´`]/g, "'")
    .replace(/[″”“]|''/g, '"')
    .replace(/\b(north|south|east|west)\b/gi, (word) => word[0].toUpperCase());

function refuse(axis: Axis, text: string, why: string): never {
  throw new Failure(
    exitCode.usage,
    `The ${axis} "${text}" is not understood: ${why}`,
    `Write it as ${axes[axis].example}.`,
  );
}

/**
 * Reads a latitude or longitude in any usual spelling: decimal degrees, degrees and minutes, degrees, minutes and
 * seconds, a sign or a hemisphere letter (north and east positive). Returns radians; refuses what could mean two things.
 */
function parseAngle(axis: Axis, text: string): number {
  const { letters, limitDeg } = axes[axis];
  const plain = unified(text);
  if (plain === '') refuse(axis, text, 'it is empty.');
  if (plain.includes(','))
    refuse(axis, text, 'a comma may be a decimal mark or separate two numbers. Use a point for decimals.');
  if (/[m':]\s*[\d.]+\s*S$/.test(plain)) {
    refuse(axis, text, 'the last letter may mean seconds or south. Use " for seconds, or a minus sign for south.');
  }
  const parts = sexagesimal.exec(plain)?.groups;
  if (!parts) refuse(axis, text, 'it does not read as an angle.');
  const { before, sign, after } = parts;
  const letter = (before ?? after)?.toUpperCase();
  if (before && after) refuse(axis, text, 'it has two hemisphere letters.');
  if (letter && !letters.includes(letter)) refuse(axis, text, `${letter} does not belong to a ${axis}.`);
  if (letter && sign) refuse(axis, text, 'it has both a sign and a hemisphere letter. Use one of them.');
  for (const [whole, part] of [
    [parts.degrees, parts.minutes],
    [parts.minutes, parts.seconds],
  ]) {
    if (whole?.includes('.') && part !== undefined) refuse(axis, text, `a fraction (${whole}) is followed by ${part}.`);
    if (part !== undefined && Number(part) >= 60) refuse(axis, text, `${part} is not below 60.`);
  }
  const magnitude = Number(parts.degrees) + Number(parts.minutes ?? 0) / 60 + Number(parts.seconds ?? 0) / 3600;
  const signed = sign === '-' || letter === 'S' || letter === 'W' ? -magnitude : magnitude;
  if (magnitude > limitDeg || signed < -180 || (letter && magnitude > 180)) {
    refuse(
      axis,
      text,
      `${magnitude} degrees is out of range (at most ${letter || sign === '-' ? Math.min(limitDeg, 180) : limitDeg}).`,
    );
  }
  return (signed > 180 ? signed - 360 : signed) * degree;
}

/** Radians, north positive. Throws Failure. */
export const parseLatitude = (text: string): number => parseAngle('latitude', text);
/** Radians, east positive, -pi..pi; 180 to 360 degrees east are taken as west. Throws Failure. */
export const parseLongitude = (text: string): number => parseAngle('longitude', text);

/** What is to be said of a longitude that has neither sign nor letter, since half the world means west by it; else empty. */
export const assumedEastWords = (text: string): string =>
  /[-+EW]/i.test(unified(text).replace(/degrees|deg|minutes|seconds|sec/gi, 'd')) || parseLongitude(text) <= 0
    ? ''
    : `${text.trim()} E assumed (no letter: east is positive). For west write -${text.trim()} or ${text.trim()}W.`;

/** Divides "latitude, longitude" written as one: by a comma, a semicolon, hemisphere letters or one space. Throws Failure. */
export function splitPosition(text: string): [latitude: string, longitude: string] {
  const plain = unified(text);
  const split =
    /^([^,;]+)[,;]([^,;]+)$/.exec(plain) ??
    /^(.*\d.*?[NS])\s*(.+[EW])$/i.exec(plain) ??
    /^([NS].+?)\s*([EW].+)$/i.exec(plain) ??
    /^(\S+)\s+(\S+)$/.exec(plain);
  if (split) return [split[1], split[2]];
  throw new Failure(
    exitCode.usage,
    `The position "${text}" does not read as a latitude and a longitude.`,
    'Write it as "46.4306, -118.6" or "46d25\'50\\"N 118d36\'W", latitude first; or give a geo: link or a grid locator.',
  );
}

function sexagesimalText(angleRad: number, letters: string): string {
  const tenths = Math.round((Math.abs(angleRad) / degree) * 36000);
  const degrees = Math.floor(tenths / 36000);
  const minutes = Math.floor((tenths % 36000) / 600);
  const seconds = ((tenths % 600) / 10).toFixed(1);
  return `${degrees}°${String(minutes).padStart(2, '0')}'${seconds.padStart(4, '0')}" ${letters[angleRad < 0 ? 1 : 0]}`;
}

/** Both coordinates as understood, to be read back by a person. */
export const positionText = ({ latitudeRad, longitudeRad }: { latitudeRad: number; longitudeRad: number }): string =>
  `${sexagesimalText(latitudeRad, 'NS')}, ${sexagesimalText(longitudeRad, 'EW')}`;

/** Metres above the ellipsoid from "350", "350 m" or "1150 ft". Throws Failure. */
export function parseElevation(text: string): number {
  const parts = /^([+-]?\d+(?:\.\d+)?)\s*(m|ft)?$/i.exec(unified(text));
  const metres = parts ? Number(parts[1]) * (parts[2]?.toLowerCase() === 'ft' ? 0.3048 : 1) : NaN;
  if (metres >= -500 && metres <= 9000) return metres;
  throw new Failure(
    exitCode.usage,
    `The elevation "${text}" is not a height between -500 and 9000 metres.`,
    'Write it as 350, "350 m" or "1150 ft".',
  );
}
