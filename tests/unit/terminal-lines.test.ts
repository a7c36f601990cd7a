import { describe, expect, it } from 'vitest';
import { keyLine } from '../../host/terminal/keys.ts';
import { lookOf, terminalKind, type TerminalKind } from '../../host/terminal/look.ts';
import { NoticeBoard } from '../../host/terminal/noticeBoard.ts';
import { drawPicture } from '../../host/terminal/picture.ts';
import { wrap } from '../../host/words/lines.ts';
import { wrapped } from '../../host/words/wrapForTerminal.ts';
import { scenery, plain, lines } from './terminalScenery.ts';

it('lists the keys, and as many of them in the last line as it holds', () => {
  const text = drawPicture(scenery, 40, 20, 'unicode', 'keys').lines(lookOf('dark', plain), 'unicode').join('\n');
  for (const [key] of [['?'], ['q'], ['f'], ['t'], ['k'], ['l'], ['s'], ['Esc']])
    expect(text).toMatch(new RegExp(`^ {2}${key === '?' ? '\\?' : key} `, 'm'));
  expect(text).not.toContain('arrows');
  expect(keyLine(38)).toBe('? keys  q leave  f far  t lock');
  expect(keyLine(80)).toContain('l look');
});

describe('what a terminal can show', () => {
  it.each<[NodeJS.ProcessEnv, TerminalKind]>([
    [
      { TERM: 'xterm-256color', LANG: 'en_US.UTF-8' },
      { colours: 'many', glyphs: 'unicode' },
    ],
    [
      { TERM: 'xterm-256color', LANG: 'C.utf8', NO_COLOR: '1' },
      { colours: 'none', glyphs: 'unicode' },
    ],
    [
      { TERM: 'xterm-256color', LANG: 'C.UTF-8', NO_COLOR: '' },
      { colours: 'many', glyphs: 'unicode' },
    ],
    [
      { TERM: 'linux', LANG: 'de_DE.UTF-8' },
      { colours: 'few', glyphs: 'console' },
    ],
    [
      { TERM: 'xterm', LANG: 'C' },
      { colours: 'few', glyphs: 'ascii' },
    ],
    [
      { TERM: 'dumb', LANG: 'C.UTF-8' },
      { colours: 'none', glyphs: 'ascii' },
    ],
    [
      { TERM: 'xterm', LANG: 'C.UTF-8', LC_ALL: 'C' },
      { colours: 'few', glyphs: 'ascii' },
    ],
  ])('%j', (env, kind) => expect(terminalKind(env, 'linux')).toEqual(kind));
});

it('words wrap at spaces', () => {
  expect(wrap('one two three four', 9)).toEqual(['one two', 'three', 'four']);
});

describe('notices', () => {
  const notes = ['A short one. Another short one.', `A long one ${'that goes on and on '.repeat(9)}to its end.`];

  it('are whole sentences in at most two lines, each long enough to be read', () => {
    const board = new NoticeBoard();
    const shown: { text: string; seconds: number }[] = [];
    for (let s = 0; s < 60; s += 0.5) {
      const text = board.at(s, notes, 76, 2);
      expect(wrap(text, 76).length).toBeLessThanOrEqual(2);
      if (shown.at(-1)?.text === text) shown.at(-1)!.seconds += 0.5;
      else shown.push({ text, seconds: 0.5 });
    }
    expect(shown[0].text).toBe('A short one. Another short one.');
    for (const { text, seconds } of shown.slice(0, -1))
      expect(seconds).toBeGreaterThanOrEqual(Math.max(4, text.length / 15));
    expect(
      shown
        .slice(1, 3)
        .map(({ text }) => text)
        .join(' '),
    ).toBe(notes[1]);
  });

  it('the page stays in the last line; hands at a virtual mount are told, and it is not called still', () => {
    const hands = { words: 'Virtual hands are turning the altitude bolt.', areTurning: true };
    const shown = lines({ ...scenery, note: notes[1], page: 'http://127.0.0.1:4711/', hands });
    expect(shown[23].trimEnd().endsWith('http://127.0.0.1:4711/')).toBe(true);
    expect(shown[1]).toContain(hands.words);
    expect(shown[0]).toContain('MOVING');
    expect(shown[0]).not.toContain('STILL');
  });
});

describe('long lines', () => {
  const terminal = (columns: number) => ({ isTTY: true, columns }) as NodeJS.WriteStream;

  it('break at spaces in a terminal, hang where asked, and are left alone elsewhere', () => {
    const text = '12:34:56  one two three four';
    expect(wrapped(text, terminal(20), 10)).toBe('12:34:56  one two\n          three four');
    expect(wrapped('one two three\n  drawn  ', terminal(9))).toBe('one two\nthree\n  drawn  ');
    expect(wrapped(text, terminal(80), 10)).toBe(text);
    expect(wrapped(text, {} as NodeJS.WriteStream)).toBe(text);
  });
});
