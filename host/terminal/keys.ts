import { wrap } from '../words/lines.ts';
import { turnsPerPressWords } from './arrows.ts';
import type { Canvas } from './canvas.ts';

const keys: readonly [string, string][] = [
  ['?', 'these keys'],
  ['q', 'leave'],
  ['f', 'far view: both readings, each alone, back'],
  ['t', 'lock: what tightening the bolts moves'],
  ['k', 'count a turn of a bolt; then a (altitude) or z (azimuth)'],
  ['l', 'look: dark, dim, day'],
  ['d', 'dark or day'],
  ['s', 'sound: azimuth, altitude, off. Turn off a visual bell in your terminal first: it flashes'],
  ['Esc', 'back'],
];
const boltKeys: readonly [string, string] = ['arrows', `turn a virtual bolt by ${turnsPerPressWords}`];

const named = ['? keys', 'q leave', 'f far', 't lock', 'k count', 'l look'];

/** As many keys as the last line has room for. */
export function keyLine(columns: number): string {
  const fits = named.findLastIndex((_, last) => named.slice(0, last + 1).join('  ').length <= columns);
  return named.slice(0, fits + 1).join('  ');
}

const keyColumns = 8;

/** All keys with what they do, in the place of the needles. */
export function drawKeys(canvas: Canvas, hasBolts: boolean): void {
  const width = canvas.columns - keyColumns - 3;
  let row = 1;
  for (const [key, does] of hasBolts ? [...keys, boltKeys] : keys) {
    canvas.put(2, row, key, 'strong');
    for (const line of wrap(does, width)) {
      canvas.put(2 + keyColumns, row, line, 'plain');
      row += 1;
    }
  }
}
