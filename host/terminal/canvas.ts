import { shown, type Look, type Role, type TerminalKind } from './look.ts';

/** A grid of character cells, each with a role; what falls outside is cut off. */
export class Canvas {
  readonly columns: number;
  readonly rows: number;
  private readonly glyph: string[];
  private readonly role: Role[];

  constructor(columns: number, rows: number) {
    this.columns = columns;
    this.rows = rows;
    this.glyph = new Array<string>(columns * rows).fill(' ');
    this.role = new Array<Role>(columns * rows).fill('plain');
  }

  put(column: number, row: number, text: string, role: Role = 'plain'): void {
    if (row < 0 || row >= this.rows) return;
    let at = Math.round(column);
    for (const glyph of text) {
      if (at >= 0 && at < this.columns) {
        this.glyph[row * this.columns + at] = glyph;
        this.role[row * this.columns + at] = role;
      }
      at += 1;
    }
  }

  /** So that its last cell is just before `column`. */
  putBefore(column: number, row: number, text: string, role: Role = 'plain'): void {
    this.put(column - [...text].length, row, text, role);
  }

  putCentred(column: number, row: number, text: string, role: Role = 'plain'): void {
    this.put(column - ([...text].length - 1) / 2, row, text, role);
  }

  /** Each row as a string with the look's escape sequences. */
  lines(look: Look, glyphs: TerminalKind['glyphs']): string[] {
    const lines: string[] = [];
    for (let row = 0; row < this.rows; row += 1) {
      let line = look.ground;
      let current: Role = 'plain';
      for (let column = 0; column < this.columns; column += 1) {
        const at = row * this.columns + column;
        const glyph = this.glyph[at];
        if (glyph !== ' ' && this.role[at] !== current) {
          current = this.role[at];
          line += look.end + look.start(current);
        }
        line += shown(glyph, glyphs);
      }
      lines.push(line + look.end);
    }
    return lines;
  }
}
