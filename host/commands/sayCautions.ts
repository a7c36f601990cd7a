import { say } from '../output.ts';
import type { Site } from '../site/site.ts';
import { faintestMagnitude } from '../sky/starlight.ts';
import type { Star } from '../sky/stars.ts';
import { texts } from './words/cautions.ts';

/** Before any instruction. */
export const sayCautions = (...cautions: readonly string[]): void =>
  cautions.forEach((caution) => say(texts.caution(caution)));

const lookEveryMs = 5 * 60_000;

/** Readings of stars that were made by day are used, and told. */
export function sayDaylight(readings: readonly { star: Star; utc: Date }[], site: Site): void {
  const looked = new Map(readings.map((reading) => [Math.floor(reading.utc.getTime() / lookEveryMs), reading]));
  const byDay = [...looked.values()].find(({ utc }) => faintestMagnitude(site, utc) === -Infinity);
  if (!byDay) return;
  const when = byDay.utc.toISOString().slice(0, 16).replace('T', ' ');
  sayCautions(texts.sunWasUp(byDay.star.name, when));
}
