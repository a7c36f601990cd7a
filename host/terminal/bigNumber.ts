import type { Canvas } from './canvas.ts';
import type { Role } from './look.ts';

/** Digits three wide and five high, two of them to a character cell's height. */
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
};

export const bigNumberRows = 3;

/** Draws a reading such as `41′` in three rows; returns the column after it. Where glyphs are missing, nothing is drawn for them. */
export function drawBigNumber(canvas: Canvas, column: number, row: number, text: string, role: Role): number {
  let at = column;
  for (const glyph of text) {
    const shape = shapes[glyph];
    if (!shape) continue;
    for (let line = 0; line < bigNumberRows; line += 1) {
      const upper = shape[2 * line] ?? '';
      const lower = shape[2 * line + 1] ?? '';
      for (let x = 0; x < shape[0].length; x += 1) {
        const isUpper = upper[x] === '#';
        const isLower = lower[x] === '#';
        if (isUpper || isLower) canvas.put(at + x, row + line, isUpper && isLower ? '█' : isUpper ? '▀' : '▄', role);
      }
    }
    at += shape[0].length + 1;
  }
  return at;
}
