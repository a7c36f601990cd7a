import { Body } from 'astronomy-engine';
import { degree } from '../../calibration/angle.ts';
import { exitCode, Failure } from '../failure.ts';
import { plainName } from '../nearNames.ts';
import { parseLatitude } from '../site/coordinates.ts';
import type { Target } from './place.ts';
import { requireStar } from './stars.ts';

const bodies = new Map<string, Body>(
  [Body.Sun, Body.Moon, Body.Mercury, Body.Venus, Body.Mars, Body.Jupiter, Body.Saturn, Body.Uranus, Body.Neptune].map(
    (body) => [plainName(body), body],
  ),
);

/** A star, the Sun, the Moon or a planet by name. Throws Failure with near matches. */
export function targetNamed(text: string): Target {
  const body = bodies.get(plainName(text));
  return body ? { kind: 'body', body } : { kind: 'star', star: requireStar(text, [...bodies.values()]) };
}

export const nameOf = (target: Target): string => {
  if (target.kind === 'direction') return 'direction';
  return target.kind === 'body' ? target.body : target.star.name;
};

/** Right ascension as hours ("6h45m8.9s", "06:45:08.9", "6 45 8.9") or as degrees with a mark ("101.287d"); radians. */
export function parseRightAscension(text: string): number {
  const degrees = /^(\d+(?:\.\d*)?)\s*(?:d|deg|°)$/i.exec(text.trim());
  if (degrees && Number(degrees[1]) < 360) return Number(degrees[1]) * degree;
  const parts =
    /^(\d+(?:\.\d*)?)\s*(?:h|:|\s)?(?:\s*(\d+(?:\.\d*)?)\s*(?:m|:|\s|')?(?:\s*(\d+(?:\.\d*)?)\s*(?:s|")?)?)?$/i.exec(
      text.trim(),
    );
  const [hours, minutes, seconds] = [parts?.[1] ?? NaN, parts?.[2] ?? 0, parts?.[3] ?? 0].map(Number);
  if (hours < 24 && minutes < 60 && seconds < 60) return ((hours + minutes / 60 + seconds / 3600) / 12) * Math.PI;
  throw new Failure(
    exitCode.usage,
    `The right ascension "${text}" is not understood.`,
    'Write it in hours as 6h45m8.9s or 6:45:08.9, or in degrees as 101.287d.',
  );
}

/** Declination in the spellings of a latitude. */
export const parseDeclination = (text: string): number => {
  try {
    return parseLatitude(text);
  } catch (error) {
    if (!(error instanceof Failure)) throw error;
    throw new Failure(exitCode.usage, error.message.replace('latitude', 'declination'), error.whatToDo);
  }
};
