import { describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { lookOf, type TerminalKind } from '../../host/terminal/look.ts';
import { drawPicture, type View } from '../../host/terminal/picture.ts';
import type { Scenery } from '../../host/terminal/scenery.ts';
import { needlesWith, plain, scenery, lines, withState } from './terminalScenery.ts';

describe('other windows and terminals', () => {
  it.each([
    [40, 12],
    [60, 20],
    [30, 6],
    [20, 3],
    [120, 40],
    [200, 60],
    [1, 1],
  ])('%dx%d: stays inside, and shows both errors where there is room', (columns, rows) => {
    const picture = lines(scenery, columns, rows);
    expect(picture).toHaveLength(rows);
    for (const line of picture) expect([...line]).toHaveLength(columns);
    if (columns >= 30 && rows >= 6) expect(picture.join('\n')).toMatch(/azimuth[\s\S]*altitude/i);
  });

  it('without UTF-8 every character is ASCII', () => {
    for (const state of ['still', 'stale', 'disturbed'] as const)
      expect(lines(withState(state), 80, 24, 'ascii').join('')).toMatch(/^[\u0020-\u007e]*$/);
  });

  it('a Linux console gets no glyph that its font lacks', () => {
    expect(lines(scenery, 80, 24, 'console').join('')).not.toMatch(/[′╎╌]/);
  });

  it('without colours there are no escape sequences', () => {
    expect(lines(scenery).join('')).not.toContain('\u001b');
  });

  it('dark: one red on black and nothing else', () => {
    const text = drawPicture(scenery, 80, 24, 'unicode')
      .lines(lookOf('dark', { colours: 'many', glyphs: 'unicode' }), 'unicode')
      .join('');
    const foregrounds = new Set([...text.matchAll(/38;5;(\d+)/g)].map(([, number]) => Number(number)));
    const grounds = new Set([...text.matchAll(/48;5;(\d+)/g)].map(([, number]) => Number(number)));
    // xterm's 256 colours: 16 + 36 r + 6 g + b; 16 is black, 52, 88, 124, 160 and 196 are the pure reds
    for (const number of foregrounds) expect([52, 88, 124, 160]).toContain(number);
    expect([...grounds]).toEqual([16]);
  });

  it('day: ink on paper', () => {
    const text = drawPicture(scenery, 80, 24, 'unicode')
      .lines(lookOf('day', { colours: 'many', glyphs: 'unicode' }), 'unicode')
      .join('');
    expect(text).toContain('48;5;230');
  });
});

describe('a window of 60x20 and of 40x20', () => {
  const bolts = { azimuth: { degPerTurn: 0.3, playTurns: 0.2, lastWay: 1 } } as const;

  it.each([
    [60, 20],
    [40, 20],
  ])('%ix%i: both readings, both needles, both instructions, the distance and the next step', (columns, rows) => {
    const picture = lines({ ...scenery, bolts, next: 'Next: swing. It finds the axis.' }, columns, rows);
    const text = picture.join(' ').replace(/\s+/g, ' ');
    expect(text).toMatch(/azimuth 41′ east, give or take 12′.*2 and a half turns.*altitude 3′ low.*Raise the axis 3′/);
    expect(text).toContain('30′ from the pole, give or take 12′.');
    expect(text).toContain('Next: swing.');
    expect(picture.filter((line) => /█|▐▌/.test(line))).toHaveLength(2);
    expect(picture[0]).toContain('STILL');
    expect(picture[0]).not.toContain('s old');
    expect(lines(withState('stale', 12.3), columns, rows)[0]).toContain('12 s old');
  });

  it('40x12: the words outlive the needles', () => {
    const text = lines(scenery, 40, 12).join('\n');
    expect(text).toMatch(/41′ east[\s\S]*toward WEST[\s\S]*3′ low[\s\S]*raise[\s\S]*30′ from the pole/);
  });
});

describe('the far view', () => {
  const far = (of: Scenery, view: View, columns = 80, rows = 24, glyphs: TerminalKind['glyphs'] = 'unicode') =>
    drawPicture(of, columns, rows, glyphs, view).lines(lookOf('dark', { ...plain, glyphs }), glyphs);
  const rowsOf = (picture: string[]): number => picture.filter((line) => /[█▀▄]/.test(line)).length;

  it('fills the window with one reading or two, and says which way to turn in words too', () => {
    const both = far(scenery, 'both');
    expect(both[0]).toMatch(/AZIMUTH {2}east {2}toward WEST {2}give or take 12′/);
    expect(both[11]).toMatch(/ALTITUDE {2}low {2}raise/);
    expect(rowsOf(both)).toBe(20);
    expect(far(scenery, 'azimuth').join('')).not.toContain('ALTITUDE');
    const alone = far(scenery, 'altitude');
    expect(rowsOf(alone)).toBeGreaterThan(14);
    expect(alone[22]).toContain('30′ from the pole, give or take 12′.');
    expect(far(scenery, 'both', 40, 20)[0]).toMatch(/^ AZIMUTH {2}east {2}toward WEST *$/);
  });

  it('shows no figure where there is none, no arrow where nothing is left to do or none is to be trusted', () => {
    const arrow = /█{20}/; // the foot of an arrow that points up or down
    expect(far(scenery, 'both').join('\n')).toMatch(arrow);
    const there = far({ ...scenery, needles: needlesWith({ altitudeErrorRad: 0.01 * degree }) }, 'both');
    expect(there.join('\n')).not.toMatch(arrow);
    expect(there[11]).toContain('leave it');
    expect(far(withState('disturbed'), 'both')[0]).toContain('unreliable');
    const stale = far(withState('stale', 12.3), 'both');
    expect(stale[0]).toContain('no signal');
    expect(rowsOf(stale)).toBeLessThan(rowsOf(far(scenery, 'both')) / 2);
  });

  it('without UTF-8 every character is ASCII, and it stays inside any window', () => {
    expect(far(scenery, 'both', 80, 24, 'ascii').join('')).toMatch(/^[\u0020-\u007e]*$/);
    for (const [columns, rows] of [
      [1, 1],
      [20, 3],
      [200, 60],
    ])
      for (const line of far(scenery, 'both', columns, rows)) expect([...line]).toHaveLength(columns);
  });
});
