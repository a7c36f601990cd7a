import type { Site } from '../site/site.ts';
import { starlight } from '../sky/starlight.ts';

const leastNightMs = 2 * 3_600_000;
/** Fainter than nearly all stars of the list. */
const magnitude = 4;

/**
 * What the clock of an invented sky shows at first: now where it is dark and stays so for two hours, else the instant when it is
 * dark next. Now as well where the Sun does not sink far enough within a day.
 */
export function virtualNightFrom(site: Site, now: Date): Date {
  const darkFrom = (date: Date): Date | null => starlight(site, date, magnitude).darkFrom;
  const first = darkFrom(now);
  if (!first) return now;
  const later = new Date(first.getTime() + leastNightMs);
  const next = darkFrom(later);
  return !next || next.getTime() === later.getTime() ? first : next;
}
