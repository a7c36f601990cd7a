import fc from 'fast-check';
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { Bell } from '../../host/terminal/bell.ts';
import { distanceWords } from '../../host/words/distance.ts';
import { instructionWords, turnsWords } from '../../host/words/instruction.ts';
import { angleWords, fullReading, giveOrTake, plainAngle, readingWords } from '../../host/words/reading.ts';
import { fullDeg, ScaleChooser, scales } from '../../host/words/scale.ts';

describe('readings in words', () => {
  it.each([
    ['azimuth', 41 / 60, 11 / 60, '′', '41′ east'],
    ['azimuth', -41 / 60, 11 / 60, '′', '41′ west'],
    ['azimuth', 2.34, 0.38, '°', '2.3° east'],
    ['altitude', -3 / 60, 1.5 / 60, '′', '3′ low'],
    ['altitude', 3.25 / 60, 0.4 / 60, '′', '3.3′ high'],
    ['altitude', 0.1 / 60, 2 / 60, '′', '0′'],
  ] as const)('%s %d give or take two of %d in %s: %s', (axis, errorDeg, sigmaDeg, unit, words) => {
    expect(readingWords(axis, errorDeg, sigmaDeg, unit)).toBe(words);
  });

  it('never shows more figures than the band justifies', () => {
    expect(angleWords(0.123456, 0.7, '°')).toBe('0.1°');
    expect(angleWords(12.3456, 5, '°')).toBe('12°');
    expect(plainAngle(0.99, 0.2)).toBe('59′');
    expect(plainAngle(1.01, 0.2)).toBe('1.0°');
    expect(giveOrTake(0.19, '′')).toBe('give or take 23′');
  });

  it('shows no figure that knows nothing, such as while the axis is swung', () => {
    expect(fullReading('azimuth', 28.3, 14.8, '°')).toBe('28° east, give or take 30°');
    expect(fullReading('azimuth', 28.3, 15.1, '°')).toBe('not known');
    expect(readingWords('altitude', 0, 151, '°')).toBe('not known');
    const axis = {
      distanceDeg: 170,
      sigmaDistanceDeg: 75,
      altitudeErrorDeg: 2,
      sigmaAltitudeErrorDeg: 1,
      azimuthErrorDeg: 170,
      sigmaAzimuthErrorDeg: 80,
    };
    expect(distanceWords(axis, { isAtRest: true, isAnchored: false })).toBe('How far from the pole: cannot tell yet.');
    const bell = new Bell();
    bell.next();
    expect(bell.isDue(9, () => ({ errorDeg: 2.1, sigmaDeg: 1.1 }))).toBe(true);
    expect(bell.isDue(99, () => ({ errorDeg: 28, sigmaDeg: 151 }))).toBe(false);
  });
});

describe('instructions in words', () => {
  it.each([
    ['azimuth', 0.7, undefined, 'Move the axis 42′ toward west.'],
    ['azimuth', -0.7, undefined, 'Move the axis 42′ toward east.'],
    ['altitude', 0.7, undefined, 'Lower the axis 42′.'],
    ['altitude', -0.7, undefined, 'Raise the axis 42′.'],
    ['altitude', 0.4, 1.2, 'Turn the altitude bolt a third of a turn to lower the axis.'],
    ['azimuth', 0.6, 1.2, 'Turn the azimuth bolts half a turn, the front toward west.'],
    ['azimuth', 0.1, undefined, 'Leave the azimuth bolts.'],
  ] as const)('%s %d with %s degrees a turn: %s', (axis, errorDeg, degPerTurn, words) => {
    const bolt = degPerTurn === undefined ? undefined : ({ degPerTurn, playTurns: 0, lastWay: 1 } as const);
    expect(instructionWords(axis, errorDeg, 0.15, bolt)).toBe(words);
  });

  it('says nothing of the bolts where the band is as wide as that of a board that was not calibrated', () => {
    expect(instructionWords('azimuth', 3, 10)).toBe('Azimuth: cannot tell yet. Tumble and swing first.');
    expect(instructionWords('altitude', -4, 2.5, { degPerTurn: 1.2, playTurns: 0, lastWay: 1 })).toBe(
      'Altitude: cannot tell yet. Tumble and swing first.',
    );
    expect(instructionWords('azimuth', 25, 10)).toContain('toward west');
    expect(instructionWords('azimuth', 144, 40)).toBe('Azimuth: cannot tell yet. Tumble and swing first.');
    expect(instructionWords('azimuth', 1, 1.9)).toBe('Leave the azimuth bolts.');
  });

  it('tells turns that a hand can tell apart', () => {
    expect([0.01, 0.13, 0.24, 0.34, 0.5, 0.66, 1, 1.4, 2.4, 12].map(turnsWords)).toEqual([
      'a touch',
      'an eighth of a turn',
      'a quarter of a turn',
      'a third of a turn',
      'half a turn',
      'two thirds of a turn',
      'one turn',
      'one and a half turns',
      '2 and a half turns',
      '12 turns',
    ]);
  });
});

describe('the scale', () => {
  it('always holds the needle, and changes from degrees to arcminutes once', () => {
    expect(scales.map(({ unit }) => unit).join('')).toMatch(/^°+′+$/);
    fc.assert(
      fc.property(fc.array(fc.double({ min: -44, max: 44, noNaN: true }), { minLength: 1 }), (errors) => {
        const chooser = new ScaleChooser();
        errors.forEach((errorDeg, index) => {
          expect(fullDeg(chooser.offer(errorDeg, 0.01, index * 0.1))).toBeGreaterThanOrEqual(Math.abs(errorDeg));
        });
      }),
    );
  });

  it('does not flutter at a boundary', () => {
    const chooser = new ScaleChooser();
    let changes = 0;
    let last = chooser.offer(0.78, 0.01, 0);
    for (let index = 1; index < 600; index += 1) {
      const scale = chooser.offer(index % 2 ? 0.83 : 0.77, 0.01, index * 0.02);
      if (scale !== last) changes += 1;
      last = scale;
    }
    expect(changes).toBeLessThanOrEqual(1);
  });
});

/** Relative luminance and contrast ratio as WCAG 2.2 defines them. */
const luminance = (hex: string): number => {
  const [r, g, b] = [1, 3, 5].map((at) => Number.parseInt(hex.slice(at, at + 2), 16) / 255);
  const linear = (value: number): number => (value <= 0.04045 ? value / 12.92 : ((value + 0.055) / 1.055) ** 2.4);
  return 0.2126 * linear(r) + 0.7152 * linear(g) + 0.0722 * linear(b);
};
const contrast = (a: string, b: string): number => {
  const [light, dark] = [luminance(a), luminance(b)].sort((x, y) => y - x);
  return (light + 0.05) / (dark + 0.05);
};

describe('the inks', () => {
  const css = readFileSync(new URL('../../host/web/page/styles/inks.css', import.meta.url), 'utf8');
  const inks = (block: string): Record<string, string> =>
    Object.fromEntries(
      [...block.matchAll(/--([\w-]+): (#[0-9a-f]{3,6});/g)].map(([, name, hex]) => [
        name,
        hex.length === 4 ? hex.replace(/[0-9a-f]/g, '$&$&') : hex,
      ]),
    );
  const [dark, day] = [/:root \{([^}]*)\}/, /:root\.day \{([^}]*)\}/].map((part) => inks(part.exec(css)?.[1] ?? ''));
  it.each([
    ['dark', dark],
    ['day', day],
  ] as const)('%s: print 4.5, figures and lines 3 against the ground (WCAG 2.2, 1.4.3 and 1.4.11)', (_name, ink) => {
    expect(contrast(ink.print, ink.ground)).toBeGreaterThanOrEqual(4.5);
    expect(contrast(ink.label, ink.ground)).toBeGreaterThanOrEqual(4.5);
    expect(contrast(ink.figure, ink.ground)).toBeGreaterThanOrEqual(3);
    expect(contrast(ink.line, ink.ground)).toBeGreaterThanOrEqual(3);
  });
});
