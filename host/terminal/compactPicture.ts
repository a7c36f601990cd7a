import { fullReading, readingUnit } from '../words/reading.ts';
import { wrap } from '../words/lines.ts';
import type { Canvas } from './canvas.ts';
import type { Role } from './look.ts';
import { drawAcross } from './needle.ts';
import { instruction, poleWords, shortWay, type Reading, type Scenery } from './scenery.ts';

interface Part {
  height: number;
  draw(row: number): void;
}

/** What a window has room for, from a large one to a tiny one. */
interface Extent {
  needles: boolean;
  words: 'full' | 'short' | 'none';
  distance: boolean;
  noteRows: number;
}
const extents: readonly Extent[] = [
  { needles: true, words: 'full', distance: true, noteRows: 2 },
  { needles: true, words: 'short', distance: true, noteRows: 2 },
  { needles: true, words: 'short', distance: true, noteRows: 1 },
  { needles: false, words: 'short', distance: true, noteRows: 1 },
  { needles: false, words: 'short', distance: true, noteRows: 0 },
  { needles: false, words: 'short', distance: false, noteRows: 0 },
  { needles: false, words: 'none', distance: false, noteRows: 0 },
];
const needleRows = 3;
const leastNeedleColumns = 30;

/** For a narrow or low window: both needles across, one below the other, then the distance. */
export function drawCompact(canvas: Canvas, scenery: Scenery, azimuth: Reading, altitude: Reading): void {
  const { columns, rows } = canvas;
  const width = columns - 2;
  const text = (words: string, role: Role): Part[] =>
    words === ''
      ? []
      : wrap(words, width).map((line) => ({ height: 1, draw: (row) => canvas.put(1, row, line, role) }));
  const needle = (reading: Reading): Part => ({
    height: needleRows,
    draw: (row) => drawAcross(canvas, 2, row, columns - 4, 1, reading.needle),
  });
  const axisParts = (reading: Reading, { needles, words }: Extent): Part[] => [
    ...text(sizeWords(reading, scenery), reading.isStale ? 'faint' : 'strong'),
    ...(needles ? [needle(reading)] : []),
    ...(words === 'full' ? text(instruction(reading, scenery), 'plain') : []),
    ...(words === 'short' ? text(shortWay(reading, scenery), 'plain') : []),
  ];
  const partsOf = (extent: Extent): Part[] => [
    ...axisParts(azimuth, extent),
    ...axisParts(altitude, extent),
    ...(extent.distance ? text(poleWords(scenery), 'plain') : []),
  ];
  const heightOf = (parts: readonly Part[]): number => parts.reduce((sum, { height }) => sum + height, 0);
  const note = wrap(scenery.hands?.areTurning ? scenery.hands.words : scenery.note || scenery.link, width);
  // between the first line and the last
  const room = rows - 2;
  const fits = (extent: Extent): boolean =>
    (!extent.needles || columns >= leastNeedleColumns) && heightOf(partsOf(extent)) + extent.noteRows <= room;
  const parts = partsOf(extents.find(fits) ?? extents[extents.length - 1]);
  let row = 1;
  for (const { height, draw } of parts) {
    draw(row);
    row += height;
  }
  const free = rows - 1 - row;
  const next = free > 2 ? wrap(scenery.next ?? '', width).slice(0, free - 2) : [];
  next.forEach((line, i) => canvas.put(1, row + i, line, 'plain'));
  const shown = note.slice(0, Math.max(0, Math.min(2, free)));
  shown.forEach((line, i) => canvas.put(1, rows - 1 - shown.length + i, line, 'plain'));
  if (row < rows) canvas.put(1, rows - 1, scenery.keys.slice(0, width), 'faint');
}

function sizeWords({ axis, errorDeg, sigmaDeg, isStale, isOff }: Reading, { needles }: Scenery): string {
  if (isOff) return `${axis} no reading: the board is off its clip`;
  const unit = readingUnit(errorDeg, sigmaDeg);
  const isUntrusted = needles?.state === 'disturbed' && axis === 'azimuth';
  const size = fullReading(axis, errorDeg, sigmaDeg, unit);
  return `${axis} ${isUntrusted ? 'unreliable: ' : isStale ? 'last ' : ''}${size}`;
}
