import { angleWords, bandSigmas, giveOrTake, readingUnit, saysNothing, sideOf, type Axis } from '../words/reading.ts';
import { wrap } from '../words/lines.ts';
import { shortened } from '../words/way.ts';
import { bigSize, drawBig } from './bigNumber.ts';
import type { Canvas } from './canvas.ts';
import type { TerminalKind } from './look.ts';
import { poleWords, stateShown, wayShown, type Reading, type Scenery } from './scenery.ts';

/** Which readings fill the window. */
export type Far = 'both' | Axis;

const arrows = { up: '↑', down: '↓', left: '←', right: '→' } as const;

/** Figure and arrow as large as the window lets them be, to be read from the mount. */
export function drawFar(
  canvas: Canvas,
  scenery: Scenery,
  readings: readonly Reading[],
  glyphs: TerminalKind['glyphs'],
): void {
  const { columns, rows } = canvas;
  const foot = wrap(poleWords(scenery) || stateShown(scenery), columns - 2).slice(0, 2);
  const height = Math.floor((rows - 1 - foot.length) / readings.length);
  readings.forEach((reading, index) => drawOne(canvas, scenery, reading, index * height, height, glyphs));
  foot.forEach((line, i) => canvas.put(1, rows - 1 - foot.length + i, line, 'strong'));
  canvas.put(1, rows - 1, 'f next  Esc back  ? keys', 'faint');
}

/** One line of words, and below it the figure with the way to turn. */
function drawOne(
  canvas: Canvas,
  scenery: Scenery,
  reading: Reading,
  top: number,
  height: number,
  glyphs: TerminalKind['glyphs'],
): void {
  const { axis, errorDeg, sigmaDeg, isStale, isOff } = reading;
  const unit = readingUnit(errorDeg, sigmaDeg);
  const way = wayShown(reading, scenery);
  const role = way?.isNear ? 'plain' : 'strong';
  const size = way && !saysNothing(sigmaDeg) ? shortened(angleWords(errorDeg, bandSigmas * sigmaDeg, unit)) : '--';
  const figure = `${size}${way?.arrow ? arrows[way.arrow] : ''}`;
  const side = Number.parseFloat(size) > 0 ? sideOf(axis, errorDeg) : '';
  const why = isOff ? 'off its clip' : isStale ? 'no signal' : '';
  const line = (...parts: string[]): string => parts.filter((part) => part !== '').join('  ');
  const short = line(axis.toUpperCase(), side, why || (way?.words ?? ''));
  const full = why ? short : line(short, giveOrTake(sigmaDeg, unit));
  canvas.put(1, top, full.length <= canvas.columns - 2 ? full : short, role);
  const { width, lines } = bigSize(figure);
  const scale = Math.floor(Math.min((canvas.columns - 2) / width, (2 * (height - 1)) / lines));
  if (scale >= 1) drawBig(canvas, 1, top + 1, figure, scale, role, glyphs);
  else canvas.put(1, top + 1, figure, role);
}
