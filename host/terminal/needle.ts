import { fullDeg, type Scale } from '../words/scale.ts';
import type { Canvas } from './canvas.ts';

/** What one needle shows. `direction` is +1 where a positive error lies to the right or up, -1 where to the left. */
export interface NeedleReading {
  errorDeg: number;
  /** Half of the shaded band, degrees. */
  bandDeg: number;
  scale: Scale;
  direction: 1 | -1;
  isStale: boolean;
  /** There is no reading: the scale stands alone. */
  isBlank: boolean;
}

/** Share of full deflection, -1..1; the needle lies at the stop when it is beyond. */
const deflection = (valueDeg: number, scale: Scale): number => Math.min(Math.max(valueDeg / fullDeg(scale), -1), 1);

const markValues = ({ full, mark }: Scale): number[] => {
  const count = Math.round(full / mark);
  return Array.from({ length: 2 * count + 1 }, (_, i) => (i - count) * mark);
};

const isLabelled = (value: number, scale: Scale): boolean => {
  const parts = Math.abs(value) / scale.labelled;
  return Math.abs(parts - Math.round(parts)) < 1e-6 || Math.abs(Math.abs(value) - scale.full) < 1e-6;
};

const labelOf = (value: number, scale: Scale): string => (value === 0 ? '0' : `${Math.abs(value)}${scale.unit}`);

/**
 * The needle that lies across: labels, scale, and below it `height` rows of needle and band.
 * Its position is told to half a cell.
 */
export function drawAcross(
  canvas: Canvas,
  left: number,
  top: number,
  width: number,
  height: number,
  reading: NeedleReading,
): void {
  const { scale, errorDeg, bandDeg, direction, isStale, isBlank } = reading;
  const centre = left + (width - 1) / 2;
  const half = (width - 1) / 2;
  const columnOf = (share: number): number => centre + direction * share * half;

  for (let column = left; column < left + width; column += 1) canvas.put(column, top + 1, '─', 'faint');
  for (const value of markValues(scale)) {
    const column = columnOf(value / scale.full);
    const labelled = isLabelled(value, scale);
    canvas.put(column, top + 1, labelled ? '┼' : '┴', value === 0 ? 'strong' : 'faint');
    if (labelled) canvas.putCentred(column, top, labelOf(value, scale), value === 0 ? 'strong' : 'plain');
  }
  if (isBlank) return;
  if (!isStale) {
    const ends = [deflection(errorDeg - bandDeg, scale), deflection(errorDeg + bandDeg, scale)].map(columnOf);
    const from = Math.round(Math.min(...ends));
    const to = Math.round(Math.max(...ends));
    for (let row = top + 2; row < top + 2 + height; row += 1)
      for (let column = from; column <= to; column += 1) canvas.put(column, row, '░', 'band');
  }
  const halfCells = Math.round(2 * columnOf(deflection(errorDeg, scale)));
  for (let row = top + 2; row < top + 2 + height; row += 1) {
    if (isStale) canvas.put(Math.round(halfCells / 2), row, '╎', 'faint');
    else if (halfCells % 2 === 0) canvas.put(halfCells / 2, row, '█', 'needle');
    else {
      canvas.put((halfCells - 1) / 2, row, '▐', 'needle');
      canvas.put((halfCells + 1) / 2, row, '▌', 'needle');
    }
  }
}

/** The needle that stands upright: labels at the left, scale, then `width` columns of needle and band. */
export function drawUpright(
  canvas: Canvas,
  left: number,
  top: number,
  height: number,
  width: number,
  reading: NeedleReading,
): void {
  const { scale, errorDeg, bandDeg, isStale, isBlank } = reading;
  const centre = top + (height - 1) / 2;
  const half = (height - 1) / 2;
  const labels = 4;
  const rowOf = (share: number): number => centre - share * half;

  for (let row = top; row < top + height; row += 1) canvas.put(left + labels, row, '│', 'faint');
  for (const value of markValues(scale)) {
    const row = Math.round(rowOf(value / scale.full));
    const labelled = isLabelled(value, scale);
    const role = value === 0 ? 'strong' : 'faint';
    if (labelled || height >= markValues(scale).length) canvas.put(left + labels, row, labelled ? '┼' : '├', role);
    if (labelled) canvas.putBefore(left + labels, row, `${labelOf(value, scale)} `, value === 0 ? 'strong' : 'plain');
  }
  const start = left + labels + 1;
  if (isBlank) return;
  if (!isStale) {
    const ends = [deflection(errorDeg - bandDeg, scale), deflection(errorDeg + bandDeg, scale)].map(rowOf);
    for (let row = Math.round(Math.min(...ends)); row <= Math.round(Math.max(...ends)); row += 1)
      canvas.put(start, row, '░'.repeat(width), 'band');
  }
  // told to half a cell: a full row, or the lower half of one and the upper half of the next
  const halfRows = Math.round(2 * rowOf(deflection(errorDeg, scale)));
  if (isStale) canvas.put(start, Math.round(halfRows / 2), '╌'.repeat(width), 'faint');
  else if (halfRows % 2 === 0) canvas.put(start, halfRows / 2, '█'.repeat(width), 'needle');
  else {
    canvas.put(start, (halfRows - 1) / 2, '▄'.repeat(width), 'needle');
    canvas.put(start, (halfRows + 1) / 2, '▀'.repeat(width), 'needle');
  }
}
