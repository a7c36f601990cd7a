import { ageWords } from '../words/age.ts';
import { wrap } from '../words/lines.ts';
import {
  angleWords,
  bandSigmas,
  giveOrTake,
  readingUnit,
  readingWords,
  saysNothing,
  sideOf,
} from '../words/reading.ts';
import { bigNumberRows, drawBigNumber } from './bigNumber.ts';
import { Canvas } from './canvas.ts';
import { drawCompact } from './compactPicture.ts';
import { drawFar, type Far } from './farPicture.ts';
import { drawKeys } from './keys.ts';
import type { TerminalKind } from './look.ts';
import { drawAcross, drawUpright } from './needle.ts';
import { instruction, poleWords, readingOf, stateShown, type Reading, type Scenery } from './scenery.ts';

/** A narrower window gets the compact picture. */
export const leastFullColumns = 72;

/** What the window shows: the needles, all keys, or one or both readings in very large type. */
export type View = 'needles' | 'keys' | Far;

/** Draws one picture for a window of this size. */
export function drawPicture(
  scenery: Scenery,
  columns: number,
  rows: number,
  glyphs: TerminalKind['glyphs'],
  view: View = 'needles',
): Canvas {
  const canvas = new Canvas(columns, rows);
  const azimuth = readingOf('azimuth', scenery);
  const altitude = readingOf('altitude', scenery);
  if (azimuth && altitude && view !== 'needles' && view !== 'keys') {
    drawFar(canvas, scenery, view === 'both' ? [azimuth, altitude] : [{ azimuth, altitude }[view]], glyphs);
    return canvas;
  }
  drawHeader(canvas, scenery);
  if (view === 'keys') drawKeys(canvas, scenery.hands !== undefined);
  else if (!azimuth || !altitude) {
    wrap(scenery.link, columns - 2).forEach((line, i) => canvas.put(1, 2 + i, line, 'strong'));
    drawLastLine(canvas, scenery, 1);
  } else if (columns >= leastFullColumns && rows >= 23) drawFull(canvas, scenery, azimuth, altitude, glyphs);
  else drawCompact(canvas, scenery, azimuth, altitude);
  return canvas;
}

/** The age is of interest in a narrow window only once it is late. */
function drawHeader(canvas: Canvas, scenery: Scenery): void {
  const { needles, ageS, source } = scenery;
  const isAgeShown = needles && (canvas.columns >= leastFullColumns || ageS >= 1);
  const right = `${stateShown(scenery)}${isAgeShown ? `  ${ageWords(ageS).padStart(18)}` : ''}`;
  canvas.put(1, 0, source.slice(0, Math.max(canvas.columns - right.length - 4, 0)), 'faint');
  canvas.putBefore(canvas.columns - 1, 0, right, 'strong');
}

function drawFull(
  canvas: Canvas,
  scenery: Scenery,
  azimuth: Reading,
  altitude: Reading,
  glyphs: TerminalKind['glyphs'],
): void {
  const { columns, rows } = canvas;
  const isTall = rows >= 25;
  const uprightLeft = columns - 21;
  const width = uprightLeft - 8;
  const ends = scenery.isSouth ? ['east', 'west'] : ['west', 'east'];
  const top = 2;
  const left = 3;
  canvas.put(
    1,
    1,
    scenery.hands?.areTurning ? scenery.hands.words : ((scenery.next || scenery.hands?.words) ?? ''),
    'plain',
  );
  const needleRows = Math.min(3 + Math.floor(Math.max(rows - 24, 0) / 2), 9);

  canvas.put(left, top, ends[0], 'plain');
  canvas.putCentred(left + (width - 1) / 2, top, 'AZIMUTH', 'strong');
  canvas.putBefore(left + width, top, ends[1], 'plain');
  drawAcross(canvas, left, top + 1, width, needleRows, azimuth.needle);
  drawReading(canvas, left, top + 4 + needleRows, azimuth, glyphs);

  const second = top + 4 + needleRows + bigNumberRows + 1;
  canvas.put(left, second, 'ALTITUDE', 'strong');
  drawReading(canvas, left, second + 1, altitude, glyphs);
  const bottom = second + 1 + bigNumberRows;
  canvas.putCentred(uprightLeft + 11, top, 'high', 'plain');
  drawUpright(canvas, uprightLeft, top + 1, bottom - top - 2, 14, altitude.needle);
  canvas.putCentred(uprightLeft + 11, bottom - 1, 'low', 'plain');

  const words = bottom + (isTall ? 1 : 0);
  canvas.put(1, words, '─'.repeat(columns - 2), 'faint');
  canvas.put(left, words + 1, inOneLine(instruction(azimuth, scenery), columns - left - 1), 'strong');
  canvas.put(left, words + 2, inOneLine(instruction(altitude, scenery), columns - left - 1), 'strong');
  drawFoot(canvas, scenery);
}

/** The number as large as it goes, which side, and what is not known of it. */
function drawReading(
  canvas: Canvas,
  left: number,
  row: number,
  { axis, errorDeg, sigmaDeg, isStale, isOff }: Reading,
  glyphs: TerminalKind['glyphs'],
): void {
  if (isOff || saysNothing(sigmaDeg)) {
    drawBigNumber(canvas, left, row, '--', 'faint');
    if (!isOff && !isStale) canvas.put(left + 9, row + 1, readingWords(axis, errorDeg, sigmaDeg, '°'), 'plain');
    return;
  }
  const band = bandSigmas * sigmaDeg;
  const unit = readingUnit(errorDeg, sigmaDeg);
  const words = readingWords(axis, errorDeg, sigmaDeg, unit);
  if (isStale) {
    drawBigNumber(canvas, left, row, '--', 'faint');
    canvas.put(left + 9, row + 1, `last ${words}, ${giveOrTake(sigmaDeg, unit)}`, 'faint');
    return;
  }
  const size = angleWords(errorDeg, band, unit);
  const side = Number.parseFloat(size) === 0 ? '' : sideOf(axis, errorDeg);
  const after = glyphs === 'ascii' ? left + size.length + 2 : drawBigNumber(canvas, left, row, size, 'strong') + 1;
  if (glyphs === 'ascii') canvas.put(left, row + 1, size, 'strong');
  canvas.put(after, row + 1, side, 'strong');
  canvas.put(after, row + 2, giveOrTake(sigmaDeg, unit), 'plain');
}

/** How much of a turn is play gives way where the line is too short for it; the turn itself holds it. */
const inOneLine = (words: string, width: number): string =>
  words.length <= width ? words : words.replace(/; [^;]* is backlash/, '');

function drawFoot(canvas: Canvas, scenery: Scenery): void {
  const { rows, columns } = canvas;
  const noteRows = rows >= 24 ? 2 : 1;
  canvas.put(3, rows - 2 - noteRows, poleWords(scenery), 'plain');
  const note = wrap(scenery.note || scenery.link, columns - 4).slice(0, noteRows);
  note.forEach((line, i) => canvas.put(3, rows - 1 - noteRows + i, line, 'plain'));
  drawLastLine(canvas, scenery, 3);
}

/** The keys, and the page as long as there is room for more than it. */
function drawLastLine(canvas: Canvas, { keys, page = '' }: Scenery, left: number): void {
  const { rows, columns } = canvas;
  canvas.put(left, rows - 1, keys.slice(0, columns - left - 1), 'faint');
  if (page !== '') canvas.putBefore(columns - 1, rows - 1, `  ${page}`, 'faint');
}
