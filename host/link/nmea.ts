import { degree } from '../../calibration/angle.ts';

/** A position fix from one NMEA 0183 sentence; RMC carries the date, GGA the elevation. */
export interface Fix {
  latitudeRad: number;
  longitudeRad: number;
  /** GGA: metres above the ellipsoid (antenna height above mean sea level plus geoid separation). */
  elevationM?: number;
  /** RMC: date and time. */
  utc?: Date;
}

type SentenceResult = { fix: Fix } | { passedOver: 'bad checksum' | 'no fix' | 'other sentence' | 'malformed' };

function angle(text: string, letter: string, positive: string, negative: string): number | undefined {
  const parts = /^(\d{2,3})(\d{2}(?:\.\d+)?)$/.exec(text);
  if (!parts || (letter !== positive && letter !== negative)) return undefined;
  const minutes = Number(parts[2]);
  const degrees = Number(parts[1]) + minutes / 60;
  if (minutes >= 60 || degrees > (positive === 'N' ? 90 : 180)) return undefined;
  return (letter === negative ? -degrees : degrees) * degree;
}

function utcOf(time: string, date: string): Date | undefined {
  const t = /^(\d{2})(\d{2})(\d{2}(?:\.\d+)?)$/.exec(time);
  const d = /^(\d{2})(\d{2})(\d{2})$/.exec(date);
  if (!t || !d) return undefined;
  const year = Number(d[3]) + (Number(d[3]) < 80 ? 2000 : 1900);
  return new Date(Date.UTC(year, +d[2] - 1, +d[1], +t[1], +t[2]) + Math.round(Number(t[3]) * 1000));
}

/** Reads one line of NMEA 0183: RMC and GGA of any talker; the checksum (exclusive or of all between $ and *) is required. */
export function readSentence(line: string): SentenceResult {
  const parts = /^\$([^*$]+)\*([0-9A-F]{2})\s*$/i.exec(line.trim());
  if (!parts) return { passedOver: 'malformed' };
  let sum = 0;
  for (let i = 0; i < parts[1].length; i += 1) sum ^= parts[1].charCodeAt(i);
  if (sum !== parseInt(parts[2], 16)) return { passedOver: 'bad checksum' };
  const fields = parts[1].split(',');
  const kind = fields[0].slice(-3);
  if (kind !== 'RMC' && kind !== 'GGA') return { passedOver: 'other sentence' };
  if (kind === 'RMC' ? fields[2] !== 'A' : !(Number(fields[6]) > 0)) return { passedOver: 'no fix' };
  const first = kind === 'RMC' ? 3 : 2;
  const latitudeRad = angle(fields[first] ?? '', fields[first + 1], 'N', 'S');
  const longitudeRad = angle(fields[first + 2] ?? '', fields[first + 3], 'E', 'W');
  if (latitudeRad === undefined || longitudeRad === undefined) return { passedOver: 'malformed' };
  if (kind === 'RMC') return { fix: { latitudeRad, longitudeRad, utc: utcOf(fields[1], fields[9] ?? '') } };
  const height = Number(fields[9] || NaN) + Number(fields[11] || 0);
  return { fix: { latitudeRad, longitudeRad, elevationM: Number.isFinite(height) ? height : undefined } };
}
