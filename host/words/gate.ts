import type { Gate } from '../../calibration/gate.ts';
import { bandSigmas } from './reading.ts';

const inFull: Record<string, string> = { deg: 'degrees', arcmin: 'arcminutes' };

/** Beyond this a number tells no more than that it is far beyond: a fit that ran away may state any. */
const mostTold: Record<string, number> = { deg: 180, arcmin: 600, sigmas: 100 };

/** `12 percent`, `1 reading`, `determinant -1`: a number that a gate judged, to three figures, with its unit. */
function measured(value: number, unit: string): string {
  const most = mostTold[unit];
  if (Math.abs(value) > most) return `more than ${measured(most, unit)}`;
  const size = Math.abs(value) >= 100 ? value.toFixed(0) : String(Number(value.toPrecision(3)));
  if (unit === 'determinant') return `${unit} ${size}`;
  const words = inFull[unit] ?? unit;
  const counted = size === '1' ? words.replace(/^(\w{3,})s$/, '$1') : words;
  return counted === '' ? size : `${size} ${counted}`;
}

/** What was checked, its number, the limit, and what to do. */
export function gateWords({ reason, value, limit, unit, isSigma, nextAction }: Gate): string {
  const times = isSigma ? bandSigmas : 1;
  const said = `${measured(times * value, unit)} (limit ${measured(times * limit, unit)})`;
  return `${reason}: ${isSigma ? 'give or take ' : ''}${said}. ${nextAction}`;
}
