import { describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import type { Needles } from '../../host/live/session.ts';
import type { Scenery } from '../../host/terminal/scenery.ts';
import { needlesWith, needles, scenery, lines, withState } from './terminalScenery.ts';

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
