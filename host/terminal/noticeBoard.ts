import { wrap } from '../words/lines.ts';

const leastS = 4;
/** Reading in the dark, with one eye on the mount. */
const charactersPerS = 14;

const sentencesOf = (text: string): string[] => text.split(/(?<=[.!?])\s+(?=[A-Z(])/);

/** Whole sentences, as many together as fit into `rows` lines; one that is longer by itself goes on in the next piece. */
function pieces(notes: readonly string[], width: number, rows: number): string[] {
  const found: string[] = [];
  for (const sentence of notes.flatMap(sentencesOf)) {
    const together = `${found.at(-1) ?? ''} ${sentence}`.trim();
    if (found.length > 0 && wrap(together, width).length <= rows) {
      found[found.length - 1] = together;
      continue;
    }
    const lines = wrap(sentence, width);
    for (let from = 0; from < lines.length; from += rows) found.push(lines.slice(from, from + rows).join(' '));
  }
  return found;
}

/** The notes take turns in a few lines, each for as long as it takes to read. */
export class NoticeBoard {
  private shown = '';
  private untilS = -Infinity;
  private next = 0;

  at(nowS: number, notes: readonly string[], width: number, rows: number): string {
    if (nowS < this.untilS) return this.shown;
    const found = pieces(notes, width, rows);
    this.next = this.next < found.length ? this.next : 0;
    this.shown = found[this.next] ?? '';
    this.untilS = nowS + Math.max(leastS, this.shown.length / charactersPerS);
    this.next += 1;
    return this.shown;
  }
}
