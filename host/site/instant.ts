import { exitCode, Failure } from '../failure.ts';

const iso = /^(\d{4})-(\d{2})-(\d{2})(?:[T ](\d{2}):(\d{2})(?::(\d{2}(?:\.\d+)?))?\s*(Z|UTC|UT|[+-]\d{2}:?\d{2})?)?$/i;

/**
 * Reads a date or a date and time: "now", 2026-11-25, 2026-11-25T21:30:05Z, "2026-11-25 21:30 +10:00" or a decimal year.
 * A time without a zone is UTC, a date alone 0 h UTC. Throws Failure on anything that could be read in two ways.
 */
export function parseInstant(text: string, now = new Date()): Date {
  const plain = text.trim();
  if (plain.toLowerCase() === 'now') return now;
  if (/^\d{4}\.\d+$/.test(plain)) {
    const year = Math.floor(Number(plain));
    const start = Date.UTC(year, 0, 1);
    return new Date(Math.round(start + (Number(plain) - year) * (Date.UTC(year + 1, 0, 1) - start)));
  }
  const parts = iso.exec(plain);
  if (parts) {
    const [, year, month, day, hour = '0', minute = '0', second = '0', zone = 'Z'] = parts;
    const ms = Date.UTC(+year, +month - 1, +day, +hour, +minute) + Math.round(Number(second) * 1000);
    const date = new Date(Date.UTC(+year, +month - 1, +day));
    const offset = /^([+-])(\d{2}):?(\d{2})$/.exec(zone);
    const offsetMinutes = offset ? (offset[1] === '-' ? -1 : 1) * (+offset[2] * 60 + +offset[3]) : 0;
    const real = date.getUTCMonth() === +month - 1 && date.getUTCDate() === +day && +hour < 24 && +minute < 60;
    if (real && Number(second) < 60 && Math.abs(offsetMinutes) <= 15 * 60) return new Date(ms - offsetMinutes * 60_000);
  }
  throw new Failure(
    exitCode.usage,
    `The date or time "${text}" is not understood.`,
    'Write it as 2026-11-25 or 2026-11-25T21:30:05Z (UTC), or with a zone as "2026-11-25 21:30 +10:00".',
  );
}
