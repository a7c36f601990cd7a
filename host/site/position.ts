import { degree } from '../../calibration/angle.ts';
import { exitCode, Failure } from '../failure.ts';
import { parseElevation, parseLatitude, parseLongitude, splitPosition } from './coordinates.ts';

/** A place as it was written. */
export interface Position {
  latitudeRad: number;
  longitudeRad: number;
  /** Where the writing tells it. */
  elevationM?: number;
  /** What the person should know of it, as a sentence; empty: nothing. */
  remark: string;
}

function refuse(text: string, why: string, whatToDo: string): never {
  throw new Failure(exitCode.usage, `The position "${text}" is not understood: ${why}`, whatToDo);
}

/** Pairs of a locator, coarse to fine: how many parts, and the first letter or digit (IARU Region 1, VHF Managers Handbook, locator system). */
const pairs = [
  { parts: 18, first: 'A' },
  { parts: 10, first: '0' },
  { parts: 24, first: 'A' },
  { parts: 10, first: '0' },
  { parts: 24, first: 'A' },
];

const locatorForm = /^[A-R]{2}\d{2}(?:[A-X]{2}(?:\d{2}(?:[A-X]{2})?)?)?$/;
/** A locator shorter than this leaves the latitude, and with it the pole, half a degree unsure. */
const shortestLocator = 6;

/** The middle of the field that a grid locator names. Throws Failure. */
function parseLocator(text: string, locator: string): Position {
  let [longitudeDeg, latitudeDeg, width, height] = [-180, -90, 360, 180];
  for (let i = 0; i < locator.length; i += 2) {
    const { parts, first } = pairs[i / 2];
    const count = (at: number): number => locator.charCodeAt(at) - first.charCodeAt(0);
    width /= parts;
    height /= parts;
    longitudeDeg += count(i) * width;
    latitudeDeg += count(i + 1) * height;
  }
  if (locator.length < shortestLocator)
    refuse(
      text,
      'four characters leave the latitude half a degree unsure.',
      'Give a locator of six characters or more.',
    );
  const offArcmin = (height / 2) * 60;
  return {
    latitudeRad: (latitudeDeg + height / 2) * degree,
    longitudeRad: (longitudeDeg + width / 2) * degree,
    remark:
      locator.length === shortestLocator
        ? `The middle of the locator's field is taken: the latitude may be ${offArcmin.toFixed(1)}′ off, and the altitude of the pole by as much. Eight characters or coordinates give a finer position.`
        : '',
  };
}

/** A `geo:` link (RFC 5870): latitude, longitude and perhaps height on WGS 84, perhaps `u=` metres of uncertainty. Throws Failure. */
function parseGeo(text: string, link: string): Position {
  const [path = '', ...parameters] = link.replace(/\?.*$/, '').split(';');
  const numbers = path.split(',');
  const values = numbers.map((part) => (/^-?\d+(?:\.\d+)?$/.test(part) ? Number(part) : NaN));
  const [latitude, longitude, elevation] = values;
  const example = 'Write it as geo:47.25,8.3 or geo:47.25,8.3,510;u=20';
  if (numbers.length < 2 || numbers.length > 3 || values.some(Number.isNaN))
    refuse(text, 'a geo link holds latitude, longitude and perhaps height.', example);
  if (Math.abs(latitude) > 90 || Math.abs(longitude) > 180) refuse(text, 'it lies outside the globe.', example);
  const named = new Map(parameters.map((each) => each.toLowerCase().split('=') as [string, string | undefined]));
  const system = named.get('crs');
  if (system !== undefined && system !== 'wgs84')
    refuse(text, `its coordinates are ${system}, not WGS 84.`, 'Give latitude and longitude on WGS 84.');
  const uncertaintyM = Number(named.get('u') ?? 0);
  if (!(uncertaintyM >= 0)) refuse(text, `its uncertainty "${named.get('u')}" is not a number of metres.`, example);
  const offArcmin = uncertaintyM / 1852;
  return {
    latitudeRad: latitude * degree,
    longitudeRad: longitude * degree,
    ...(elevation !== undefined && { elevationM: parseElevation(`${elevation} m`) }),
    remark:
      offArcmin > 0.25
        ? `The position in the link is uncertain by ${uncertaintyM} m: the latitude may be ${offArcmin.toFixed(1)}′ off, and the altitude of the pole by as much.`
        : '',
  };
}

/**
 * Reads a place written as one: "latitude, longitude" in any usual spelling, a `geo:` link, or a grid locator (Maidenhead).
 * Throws Failure.
 */
export function parsePosition(text: string): Position {
  const plain = text.trim();
  if (/^geo:/i.test(plain)) return parseGeo(text, plain.slice('geo:'.length));
  const locator = plain.toUpperCase();
  if (locatorForm.test(locator)) return parseLocator(text, locator);
  const [latitude, longitude] = splitPosition(text);
  return { latitudeRad: parseLatitude(latitude), longitudeRad: parseLongitude(longitude), remark: '' };
}
