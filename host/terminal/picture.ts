import { degree } from '../../calibration/angle.ts';
import type { Needles } from '../live/session.ts';
import { distanceWords, standingOf } from '../words/distance.ts';
import { instructionWords, type BoltTurn } from '../words/instruction.ts';
import {
  angleWords,
  bandSigmas,
  giveOrTake,
  plainAngle,
  readingUnit,
  readingWords,
  sideOf,
  type Axis,
} from '../words/reading.ts';
import type { Scale } from '../words/scale.ts';
import { azimuthUntrusted, distanceUntrusted } from '../words/iron.ts';
import { ageWords } from '../words/age.ts';
import { bigNumberRows, drawBigNumber } from './bigNumber.ts';
import { Canvas } from './canvas.ts';
import type { TerminalKind } from './look.ts';
import { drawAcross, drawUpright, type NeedleReading } from './needle.ts';
import { wrap } from '../words/lines.ts';

/** Everything that one picture shows. */
export interface Scenery {
  needles: Needles | undefined;
  /** Age of the sample behind the needles, seconds. */
  ageS: number;
  source: string;
  /** The link in words, and its bad and lost lines. */
  link: string;
  /** What the person should know now, for two lines. */
  note: string;
  keys: string;
  /** Where the page is, or that there is none; stays in the last line. */
  page?: string;
  /** Virtual mounts only: whose hands are at the bolts. */
  hands?: { words: string; areTurning: boolean };
  scales: Record<Axis, Scale>;
  /** What a turn of each bolt does, where that was learnt. */
  bolts: Partial<Record<Axis, BoltTurn>>;
  /** In the south east lies at the left of one who faces the pole. */
  isSouth: boolean;
}

interface Reading {
  axis: Axis;
  errorDeg: number;
  sigmaDeg: number;
  scale: Scale;
  isStale: boolean;
  /** The board is off its clip: nothing of the axis can be shown. */
  isOff: boolean;
  needle: NeedleReading;
}

const stateWords = { still: 'STILL', moving: 'MOVING', disturbed: 'DISTURBED', stale: 'NO SIGNAL' } as const;

function readingOf(axis: Axis, { needles, scales, isSouth }: Scenery): Reading | undefined {
  if (!needles) return undefined;
  const isAzimuth = axis === 'azimuth';
  const { shown } = needles;
  const errorDeg = (isAzimuth ? shown.azimuthErrorRad : shown.altitudeErrorRad) / degree;
  const sigmaDeg = (isAzimuth ? shown.sigmaAzimuthErrorRad : shown.sigmaAltitudeErrorRad) / degree;
  // the needle itself follows every motion
  const { altitudeErrorRad, azimuthErrorRad } = needles.state === 'moving' ? needles : shown;
  const needleDeg = (isAzimuth ? azimuthErrorRad : altitudeErrorRad) / degree;
  const isStale = needles.state === 'stale';
  const isOff = needles.isOffClip;
  const scale = scales[axis];
  const direction = isAzimuth && isSouth ? -1 : 1;
  return {
    axis,
    errorDeg,
    sigmaDeg,
    scale,
    isStale,
    isOff,
    needle: { errorDeg: needleDeg, bandDeg: bandSigmas * sigmaDeg, scale, direction, isStale, isBlank: isOff },
  };
}

/** A narrower window gets the compact picture. */
export const leastFullColumns = 72;

/** Draws one picture for a window of this size. */
export function drawPicture(scenery: Scenery, columns: number, rows: number, glyphs: TerminalKind['glyphs']): Canvas {
  const canvas = new Canvas(columns, rows);
  const azimuth = readingOf('azimuth', scenery);
  const altitude = readingOf('altitude', scenery);
  drawHeader(canvas, scenery);
  if (!azimuth || !altitude) {
    wrap(scenery.link, columns - 2).forEach((line, i) => canvas.put(1, 2 + i, line, 'strong'));
    drawLastLine(canvas, scenery, 1);
  } else if (columns >= leastFullColumns && rows >= 23) drawFull(canvas, scenery, azimuth, altitude, glyphs);
  else drawCompact(canvas, scenery, azimuth, altitude);
  return canvas;
}

function drawHeader(canvas: Canvas, { needles, ageS, source, hands }: Scenery): void {
  const isHandled = hands?.areTurning && needles?.state === 'still';
  const isOff = needles && needles.state !== 'stale' && needles.isOffClip;
  const state = !needles ? 'WAITING' : isOff ? 'OFF ITS CLIP' : stateWords[isHandled ? 'moving' : needles.state];
  const right = needles ? `${state}  ${ageWords(ageS).padStart(18)}` : state;
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
  canvas.put(1, 1, scenery.hands?.words ?? '', 'plain');
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
  if (isOff) {
    drawBigNumber(canvas, left, row, '--', 'faint');
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

function instruction({ axis, errorDeg, sigmaDeg, isStale, isOff }: Reading, { needles, bolts }: Scenery): string {
  if (isStale) return axis === 'azimuth' ? 'Leave the bolts alone until the needles are back.' : '';
  if (isOff) return axis === 'azimuth' ? 'The board is off its clip, or sits in it otherwise than it was swung.' : '';
  if (needles?.state === 'disturbed' && axis === 'azimuth') return azimuthUntrusted;
  return instructionWords(axis, errorDeg, sigmaDeg, bolts[axis]);
}

/** How much of a turn is play gives way where the line is too short for it; the turn itself holds it. */
const inOneLine = (words: string, width: number): string =>
  words.length <= width ? words : words.replace(/; [^;]* is play/, '');

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

function poleWords({ needles }: Scenery): string {
  if (!needles || needles.state === 'stale' || needles.isOffClip) return '';
  if (needles.state === 'disturbed') return distanceUntrusted;
  const { isAnchored } = needles;
  const text = distanceWords(standingOf(needles.shown), { isAtRest: needles.state === 'still', isAnchored });
  if (!needles.truth) return text;
  return `${text}   (the simulator: ${plainAngle(needles.truth.distanceRad / degree, 0.05)})`;
}

/** For a narrow or low window: both needles across, one below the other. */
function drawCompact(canvas: Canvas, scenery: Scenery, azimuth: Reading, altitude: Reading): void {
  const { columns, rows } = canvas;
  let row = 1;
  for (const reading of [azimuth, altitude]) {
    const { axis, errorDeg, sigmaDeg, isStale, isOff } = reading;
    const unit = readingUnit(errorDeg, sigmaDeg);
    const size = `${readingWords(axis, errorDeg, sigmaDeg, unit)}, ${giveOrTake(sigmaDeg, unit)}`;
    const isUntrusted = scenery.needles?.state === 'disturbed' && axis === 'azimuth';
    const words = isOff
      ? `${axis} no reading: the board is off its clip`
      : `${axis} ${isUntrusted ? 'not to be trusted: ' : isStale ? 'last ' : ''}${size}`;
    for (const line of wrap(words, columns - 2)) {
      canvas.put(1, row, line, isStale ? 'faint' : 'strong');
      row += 1;
    }
    if (rows >= 10 && columns >= 30) {
      drawAcross(canvas, 2, row, columns - 4, 1, reading.needle);
      row += 3;
    }
    if (rows >= 12) {
      wrap(instruction(reading, scenery), columns - 2).forEach((line) => {
        canvas.put(1, row, line, 'plain');
        row += 1;
      });
    }
  }
  const note = wrap(scenery.hands?.areTurning ? scenery.hands.words : scenery.note || scenery.link, columns - 2);
  const noteRows = Math.min(2, note.length, rows - 1 - row);
  for (let i = 0; i < noteRows; i += 1) canvas.put(1, rows - 1 - noteRows + i, note[i], 'plain');
  if (row < rows && columns >= leastFullColumns) drawLastLine(canvas, scenery, 1);
  else if (row < rows) canvas.put(1, rows - 1, scenery.keys.slice(0, columns - 2), 'faint');
}
