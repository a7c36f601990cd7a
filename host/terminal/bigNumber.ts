import type { Canvas } from './canvas.ts';
import type { Role, TerminalKind } from './look.ts';

/** Signs five high and mostly three wide, in squares: two of them to a character cell's height. */
const shapes: Record<string, readonly string[]> = {
  '0': ['###', '# #', '# #', '# #', '###'],
  '1': [' # ', '## ', ' # ', ' # ', '###'],
  '2': ['###', '  #', '###', '#  ', '###'],
  '3': ['###', '  #', '###', '  #', '###'],
  '4': ['# #', '# #', '###', '  #', '  #'],
  '5': ['###', '#  ', '###', '  #', '###'],
  '6': ['###', '#  ', '###', '# #', '###'],
  '7': ['###', '  #', '  #', ' # ', ' # '],
  '8': ['###', '# #', '###', '# #', '###'],
  '9': ['###', '# #', '###', '  #', '###'],
  '.': [' ', ' ', ' ', ' ', '#'],
  '°': ['###', '# #', '###', '   ', '   '],
  '′': [' #', ' #', '# ', '  ', '  '],
  '-': ['   ', '   ', '###', '   ', '   '],
  '→': ['#  ', '## ', '###', '## ', '#  '],
  '←': ['  #', ' ##', '###', ' ##', '  #'],
  '↑': ['     ', '  #  ', ' ### ', '#####', '     '],
  '↓': ['     ', '#####', ' ### ', '  #  ', '     '],
};
const squaresHigh = 5;

export const bigNumberRows = 3;

/** Squares across and down, with one between the signs. */
export const bigSize = (text: string): { width: number; lines: number } => ({
  width: [...text].reduce((width, sign) => width + (shapes[sign] ? shapes[sign][0].length + 1 : 0), -1),
  lines: squaresHigh,
});

/**
 * Draws a reading such as `41′`, each square `scale` columns wide and as many half rows high; returns the column after it. Signs that
 * have no shape are left out; where glyphs are missing, whole cells stand for halves.
 */
export function drawBig(
  canvas: Canvas,
  column: number,
  row: number,
  text: string,
  scale: number,
  role: Role,
  glyphs: TerminalKind['glyphs'] = 'unicode',
): number {
  let at = column;
  for (const sign of text) {
    const shape = shapes[sign];
    if (!shape) continue;
    const isSet = (x: number, halfRow: number): boolean =>
      shape[Math.floor(halfRow / scale)]?.[Math.floor(x / scale)] === '#';
    for (let line = 0; 2 * line < squaresHigh * scale; line += 1) {
      for (let x = 0; x < shape[0].length * scale; x += 1) {
        const isUpper = isSet(x, 2 * line);
        const isLower = isSet(x, 2 * line + 1);
        if (isUpper || isLower)
          canvas.put(at + x, row + line, (isUpper && isLower) || glyphs === 'ascii' ? '█' : isUpper ? '▀' : '▄', role);
      }
    }
    at += (shape[0].length + 1) * scale;
  }
  return at;
}

/** In three rows. */
export const drawBigNumber = (canvas: Canvas, column: number, row: number, text: string, role: Role): number =>
  drawBig(canvas, column, row, text, 1, role);
