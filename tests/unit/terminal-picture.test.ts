import { describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import type { LiveSession, Needles } from '../../host/live/session.ts';
import { Bell } from '../../host/terminal/bell.ts';
import { keyLine } from '../../host/terminal/keys.ts';
import { lookOf, terminalKind, type TerminalKind } from '../../host/terminal/look.ts';
import { KnobCount } from '../../host/terminal/knobCount.ts';
import { LockCheck } from '../../host/terminal/lockCheck.ts';
import { NoticeBoard } from '../../host/terminal/noticeBoard.ts';
import { drawPicture, type View } from '../../host/terminal/picture.ts';
import type { Scenery } from '../../host/terminal/scenery.ts';
import { wrap } from '../../host/words/lines.ts';
import { wrapped } from '../../host/words/wrapForTerminal.ts';
import { scales } from '../../host/words/scale.ts';
import { shownAsTheyAre } from './needlesAtRest.ts';
import { plainAxisModel } from './plainAxisModel.ts';

const measured = {
  utcMs: 0,
  arrivalS: 0,
  altitudeErrorRad: -0.05 * degree,
  azimuthErrorRad: 0.68 * degree,
  distanceRad: 0.5 * degree,
  sigmaAltitudeErrorRad: 0.03 * degree,
  sigmaAzimuthErrorRad: 0.1 * degree,
  sigmaDistanceRad: 0.1 * degree,
  state: 'still' as const,
  fieldDeviationSigmas: 0,
  temperatureC: 10,
};
const needlesWith = (other: Partial<Needles>): Needles => shownAsTheyAre({ ...measured, ...other });
const needles = needlesWith({});
const scenery: Scenery = {
  needles,
  ageS: 0.1,
  source: 'board 3F2A91C4 on /dev/ttyUSB0',
  link: 'Reading board 3F2A91C4.',
  note: '',
  keys: 'q leave',
  scales: { azimuth: scales[4], altitude: scales[6] },
  bolts: {},
  isSouth: false,
};
const plain = { colours: 'none', glyphs: 'unicode' } as const;
const lines = (of: Scenery, columns = 80, rows = 24, glyphs: TerminalKind['glyphs'] = 'unicode'): string[] =>
  drawPicture(of, columns, rows, glyphs).lines(lookOf('dark', { ...plain, glyphs }), glyphs);
const withState = (state: Needles['state'], ageS = 0.1): Scenery => ({
  ...scenery,
  ageS,
  needles: { ...needles, state },
});

describe('a board that lies off its clip', () => {
  const off: Scenery = { ...scenery, needles: needlesWith({ altitudeErrorRad: -39 * degree, isOffClip: true }) };

  it.each([
    [80, 24],
    [60, 16],
  ])('is said instead of a reading, %i x %i', (columns, rows) => {
    const text = lines(off, columns, rows).join(' ').replace(/\s+/g, ' ');
    expect(text).toContain('OFF ITS CLIP');
    expect(text).toContain('off its clip');
    expect(text).not.toMatch(/give or take|from the pole|39|Raise|toward west|[█▐░╎╌]/);
  });
});

describe('the picture at 80x24', () => {
  const picture = lines(scenery);
  const text = picture.join('\n');

  it('fills the window and no more', () => {
    expect(picture).toHaveLength(24);
    for (const line of picture) expect([...line]).toHaveLength(80);
  });

  it('says both errors, which side, how sure, what to do, state, age, source and link', () => {
    for (const words of ['AZIMUTH', 'ALTITUDE', 'east', 'low', 'give or take 12′', 'give or take 4′', 'toward west'])
      expect(text).toContain(words);
    for (const words of [
      'Raise the axis',
      'STILL',
      'less than 1 s old',
      'board 3F2A91C4',
      'Reading board',
      'from the pole',
    ])
      expect(text).toContain(words);
  });

  it('the needle lies where its value is on the scale, the band two sigmas to either side', () => {
    const row = picture[5];
    const marks = picture[4];
    const [from, to] = [marks.indexOf('┼'), marks.lastIndexOf('┼')];
    const columnOf = (valueDeg: number): number => (from + to) / 2 + (valueDeg / 2) * ((to - from) / 2);
    const needle = /█|▐▌/.exec(row);
    expect(needle).not.toBeNull();
    expect(Math.abs((needle?.index ?? 0) + ((needle?.[0].length ?? 1) - 1) / 2 - columnOf(0.68))).toBeLessThanOrEqual(
      0.5,
    );
    expect(Math.abs(row.indexOf('░') - columnOf(0.48))).toBeLessThanOrEqual(1);
    expect(Math.abs(row.lastIndexOf('░') - columnOf(0.88))).toBeLessThanOrEqual(1);
  });

  it('an upright needle below the middle means too low', () => {
    const middle = picture.findIndex((line) => /\b0 ┼/.test(line));
    const needle = picture.findIndex((line) => /[├┼│][█▄]{3}/.test(line));
    expect(needle).toBeGreaterThanOrEqual(middle);
    const high = lines({ ...scenery, needles: needlesWith({ altitudeErrorRad: 0.2 * degree }) });
    expect(high.findIndex((line) => /[├┼│][█▄]{3}/.test(line))).toBeLessThan(middle);
  });

  it('in the south east lies at the left, and the needle follows', () => {
    const south = lines({ ...scenery, isSouth: true });
    expect(south[2].indexOf('east')).toBeLessThan(south[2].indexOf('west'));
    const centre = (south[4].indexOf('┼') + south[4].lastIndexOf('┼')) / 2;
    expect(south[5].search(/█|▐/)).toBeLessThan(centre);
  });

  it('says turns where a turn of the bolt was learnt', () => {
    const text = lines({ ...scenery, bolts: { azimuth: { degPerTurn: 1.36, playTurns: 0, lastWay: 1 } } }).join('\n');
    expect(text).toContain('half a turn');
    const bolts = {
      azimuth: { degPerTurn: 0.9, playTurns: 0.15, lastWay: 1 },
      altitude: { degPerTurn: 0.9, playTurns: 0.15, lastWay: -1 },
    } as const;
    const needlesOff = needlesWith({ azimuthErrorRad: 0.6 * degree, altitudeErrorRad: -0.6 * degree });
    const playing = lines({ ...scenery, needles: needlesOff, bolts });
    expect(playing.join('\n')).toMatch(/the front toward west\. *$/m);
    expect(playing.join('\n')).toMatch(/to raise the axis\. *$/m);
  });

  it('a value beyond the scale lies at the stop', () => {
    const far = lines({ ...scenery, needles: needlesWith({ azimuthErrorRad: 40 * degree }) });
    expect(far[5].lastIndexOf('█')).toBe(far[4].lastIndexOf('┼'));
  });
});

describe('a needle that must not be believed', () => {
  it('stale: no solid needle, no band, no number, the last reading named as last', () => {
    const text = lines(withState('stale', 12.3)).join('\n');
    expect(text).toContain('NO SIGNAL');
    expect(text).toContain('12 s old');
    expect(text).toContain('last');
    expect(text).toContain('╎');
    expect(text).not.toMatch(/█|░|▐|from the pole|Raise/);
  });

  it('disturbed: says so, and gives no instruction for the azimuth', () => {
    const text = lines(withState('disturbed')).join('\n');
    expect(text).toContain('DISTURBED');
    expect(text).toContain('Do not trust the azimuth');
    expect(text).not.toMatch(/toward west|from the pole/);
    expect(text).toContain('Raise the axis');
  });

  it.each([
    [80, 24],
    [60, 20],
    [40, 8],
  ])('disturbed at %dx%d: unreliable, in this layout too', (columns, rows) => {
    const text = lines(withState('disturbed'), columns, rows).join(' ').replace(/\s+/g, ' ');
    expect(text).toMatch(/do not trust|unreliable/i);
    expect(text).not.toContain('toward west');
  });

  it('at rest the needle stands where its figure says, in motion it runs ahead of it', () => {
    const needleAt = (state: Needles['state']): number =>
      lines({ ...scenery, needles: needlesWith({ state, azimuthErrorRad: -1.5 * degree, shown: needles.shown }) })
        .find((line) => /[█▐]/.test(line))!
        .search(/[█▐]/);
    expect(needleAt('still')).toBe(
      lines(scenery)
        .find((line) => /[█▐]/.test(line))!
        .search(/[█▐]/),
    );
    expect(needleAt('moving')).toBeLessThan(needleAt('still') - 10);
  });

  it('no needle yet: the link says why', () => {
    expect(lines({ ...scenery, needles: undefined }).join('\n')).toContain('Reading board 3F2A91C4.');
  });
});

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

it('lists the keys, and as many of them in the last line as it holds', () => {
  const text = drawPicture(scenery, 40, 20, 'unicode', 'keys').lines(lookOf('dark', plain), 'unicode').join('\n');
  for (const [key] of [['?'], ['q'], ['f'], ['t'], ['k'], ['l'], ['s'], ['Esc']])
    expect(text).toMatch(new RegExp(`^ {2}${key === '?' ? '\\?' : key} `, 'm'));
  expect(text).not.toContain('arrows');
  expect(keyLine(38)).toBe('? keys  q leave  f far  t lock');
  expect(keyLine(80)).toContain('l look');
});

describe('the bell', () => {
  const errorDeg = { azimuth: 0, altitude: 0 };
  let reading: ((axis: 'azimuth' | 'altitude') => { errorDeg: number; sigmaDeg: number }) | undefined = (axis) => ({
    errorDeg: errorDeg[axis],
    sigmaDeg: 0.05,
  });
  const countIn = (bell: Bell, fromS: number, seconds: number): number => {
    let count = 0;
    for (let s = fromS; s < fromS + seconds; s += 1 / 12) if (bell.isDue(s, (axis) => reading?.(axis))) count += 1;
    return count;
  };

  it('is silent until asked for, quickens toward zero, rings three times there, and is silent without a reading', () => {
    const bell = new Bell();
    errorDeg.azimuth = -9;
    expect(countIn(bell, 0, 60)).toBe(0);
    bell.next();
    const slow = countIn(bell, 100, 60);
    errorDeg.azimuth = -0.2;
    const quick = countIn(bell, 200, 60);
    expect(slow).toBeGreaterThan(20);
    expect(quick).toBeGreaterThan(2 * slow);
    errorDeg.azimuth = 0.03;
    expect(countIn(bell, 300, 60)).toBe(3);
    errorDeg.azimuth = 0.3;
    expect(countIn(bell, 400, 60)).toBeGreaterThan(slow);
    const kept = reading;
    reading = undefined;
    expect(countIn(bell, 500, 60)).toBe(0);
    reading = kept;
    bell.next();
    errorDeg.altitude = 0;
    expect(bell.words()).toContain('altitude');
    expect(countIn(bell, 600, 60)).toBe(3);
    bell.next();
    errorDeg.altitude = 3;
    expect(countIn(bell, 700, 60)).toBe(0);
  });
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

describe('counting a turn of a virtual bolt', () => {
  it('says how many presses it is, waits for the needles by itself, and is left with Esc', () => {
    let now: Needles = { ...needles, state: 'moving' };
    const session = { latest: () => now, knobs: {}, virtual: { turnBolt: () => {} } } as unknown as LiveSession;
    const count = new KnobCount(session);
    count.begin();
    expect(count.words).toContain('goes on by itself');
    count.look();
    expect(count.words).toContain('goes on by itself');
    now = needles;
    count.look();
    expect(count.words).toContain('16 presses of one arrow');
    now = { ...needles, state: 'moving' };
    count.turned('altitude');
    now = needlesWith({ altitudeErrorRad: needles.altitudeErrorRad + 1.2 * degree });
    count.look();
    expect(count.words).toMatch(/^One turn in altitude is 1\.[0-4]\d°, give or take/);
    expect(count.isUnderWay).toBe(false);
    count.begin();
    count.leave();
    expect(count.words).toBe('');
    count.turned('azimuth');
    expect(count.words).toBe('Press k first, then turn the bolt.');
  });
});

describe('locking by key', () => {
  /** A board whose axis rests at 35 degrees and so much more. */
  function restingSession() {
    let offer: (sample: unknown) => void = () => {};
    let atS = 0;
    const session = {
      latest: () => needles,
      axisModel: () => plainAxisModel,
      onSample: (listener: typeof offer) => {
        offer = listener;
        return () => {};
      },
    } as unknown as LiveSession;
    const rest = (higherDeg: number): void => {
      const up = (35 + higherDeg) * degree;
      const turned = (65 + 35 + higherDeg) * degree;
      for (let i = 0; i < 300; i += 1) {
        atS += 0.02;
        const noise = 0.001 * ((i % 3) - 1);
        offer({
          boardS: atS,
          accelG: [Math.sin(up) + noise, 0, Math.cos(up)],
          fieldNt: [-54_000 * Math.cos(Math.PI - turned), 0, -54_000 * Math.sin(turned)],
          temperatureC: 10,
        });
      }
    };
    return { session, rest };
  }

  it('asks for a rest, for tight bolts and a rest again, and tells what moved with before and after', () => {
    const { session, rest } = restingSession();
    const told: string[] = [];
    const lock = new LockCheck(session, {
      lockBegins: () => told.push('begins'),
      locked: ({ altitudeShiftRad }) => told.push(`moved ${(altitudeShiftRad / degree).toFixed(2)}`),
      lockLeft: () => told.push('left'),
    });
    lock.press();
    expect(lock.words).toMatch(/^Hands off the mount for two seconds before locking/);
    lock.press();
    expect(lock.isUnderWay).toBe(true);
    rest(0);
    lock.look();
    lock.look();
    expect(lock.words).toMatch(/^Mind your fingers.* Tighten the bolts.*Then press t\./);
    rest(1);
    lock.look();
    expect(lock.words).toMatch(/^Are the bolts tight/);
    lock.press();
    expect(lock.words).toMatch(/^Locking moved the axis 60.0′ high.*Before: altitude .* After: altitude /);
    expect(lock.isUnderWay).toBe(false);
    lock.leave();
    expect(lock.words).toBe('');
    expect(told).toEqual(['begins', 'moved 1.00']);
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
