import { describe, expect, it } from 'vitest';
import { arcsecond, degree } from '../../calibration/angle.ts';
import { Failure } from '../../host/failure.ts';
import { judgeDrift } from '../../host/steps/drift.ts';
import { parseDriftReadings } from '../../host/steps/driftFile.ts';
import { judgeNight, nextStars } from '../../host/steps/sights.ts';
import { parseSights, parseAxis } from '../../host/steps/sightsFile.ts';
import { parseSectors, isHidden } from '../../host/site/horizon.ts';

const site = { latitudeRad: 47 * degree, longitudeRad: -112.5 * degree, elevationM: 400 };
const now = new Date('2026-12-01T05:00:00Z');

function failureOf(run: () => unknown): Failure {
  try {
    run();
  } catch (error) {
    if (error instanceof Failure) return error;
    throw error;
  }
  throw new Error('nothing was refused');
}

describe('files of sights', () => {
  const header = 'utc,star,side,roll_deg\n';
  it.each([
    ['no header', '2026-12-01T05:00Z,Vega,west,10\n', '0 sights'],
    ['empty', '', '0 sights'],
    ['unknown star', `${header}2026-12-01T05:00Z,Vegga,west,10\n`, 'not among the 124'],
    ['no side', `${header}2026-12-01T05:00Z,Vega,,10\n`, 'not a side of the mount'],
    ['no roll', `${header}2026-12-01T05:00Z,Vega,west,\n`, 'is not a number'],
    ['NaN', `${header}2026-12-01T05:00Z,Vega,west,NaN\n`, 'is not a number'],
    ['a date that is none', `${header}yesterday,Vega,west,10\n`, 'not understood'],
    [
      'torn row',
      `${header}2026-12-01T05:00Z,Vega\n`,
      'not a valid CSV file: line 2: not as many columns as in the header',
    ],
    ['gravity without an axis', 'utc,star,side,ax_g,ay_g,az_g\n2026-12-01T05:00Z,Vega,west,1,0,0\n', 'is missing'],
    ['neither', 'utc,star,side\n2026-12-01T05:00Z,Vega,west\n', 'neither roll_deg nor'],
  ])('%s', (_, text, said) => {
    const failure = failureOf(() => parseSights(text, 'sights.csv', site.latitudeRad));
    expect(failure.message).toContain('sights.csv');
    expect(failure.message).toContain(said);
    expect(failure.whatToDo).not.toBe('');
  });

  it('offers near matches of a misspelt star, with the row', () => {
    const failure = failureOf(() => parseSights(`${header}2026-12-01T05:00Z,Vegga,west,10\n`, 'a.csv', 0.7));
    expect(failure.message).toContain('sight 1');
    expect(failure.whatToDo).toContain('Vega');
  });

  it('reads gravity with the axis, columns in any order, others skipped', () => {
    const [sight] = parseSights(
      'note,az_g,ay_g,ax_g,side,star,utc\nhello,0.9,0.1,0.4,E,alpha Lyr,2026-12-01T05:00Z\n',
      'a.csv',
      site.latitudeRad,
      parseAxis('1,0,0'),
    );
    expect(sight.star.name).toBe('Vega');
    expect(sight.side).toBe('east');
    expect(Number.isFinite(sight.rollRad)).toBe(true);
  });
  it.each(['1,0', '1,1,1', 'a,b,c', ''])('refuses the axis "%s"', (text) =>
    expect(failureOf(() => parseAxis(text)).whatToDo).toContain('axisInBoard'),
  );
});

describe('sights that cannot be', () => {
  const [first, second] = nextStars(undefined, site, now, []);
  const sight = (name: string, utc = now) =>
    parseSights(`utc,star,side,roll_deg\n${utc.toISOString()},${name},west,10\n`, 'a.csv', site.latitudeRad)[0];

  it('of a star below the horizon', () => {
    const failure = failureOf(() => judgeNight([sight('Acrux')], site, now));
    expect(failure.message).toMatch(/Acrux was \d+° below the horizon/);
  });
  it('dated before the program was made: the clock is off', () => {
    const failure = failureOf(() => judgeNight([sight('Vega', new Date('2001-01-01T05:00:00Z'))], site, now));
    expect(failure.whatToDo).toContain('clock');
  });
  it('too few or too alike: refused with what to take next', () => {
    const alike = [sight(first.star.name), sight(first.star.name, new Date(now.getTime() + 1000))];
    alike[1] = { ...alike[1], rollRad: alike[0].rollRad + 15.041 * arcsecond };
    const { gates, verdict } = judgeNight(alike, site, now);
    expect(verdict.kind).toBe('consistent');
    expect(gates[0]).toMatchObject({ verdict: 'stop', unit: 'arcmin' });
    expect(gates[0].reason).toContain('too alike');
    expect(gates[0].nextAction).toContain('Next take');
  });
  it('recommends nothing behind the trees', () => {
    const hidden = { ...site, horizon: parseSectors('0-360:80') };
    const free = nextStars(undefined, hidden, now, []);
    expect(free.length).toBeLessThan(5);
    const behind = { ...site, horizon: parseSectors('0-360:90') };
    expect(nextStars(undefined, behind, now, [])).toEqual([]);
    expect(second).toBeDefined();
  });
});

describe('files of drift readings', () => {
  it.each([
    ['no time', 'star,north\nVega,1\n', 'neither utc nor t_s'],
    ['no number', 'star,t_s,north\nVega,0,much\n', 'is not a number'],
    ['unknown star', 'star,t_s,north\nVegga,0,1\n', 'not among'],
    ['empty', '', '0 readings'],
  ])('%s', (_, text, said) => expect(failureOf(() => parseDriftReadings(text, 'd.csv', now)).message).toContain(said));

  it('with too few readings of a star', () => {
    const readings = parseDriftReadings('t_s,north\n0,0\n60,1\n', 'd.csv', now, 'Capella');
    expect(failureOf(() => judgeDrift(readings, site, arcsecond)).whatToDo).toContain('at least five');
  });
  it('does not believe equal numbers beyond what an eye can read', () => {
    const rows = Array.from({ length: 11 }, (_, i) => `${i * 30},0`).join('\n');
    const readings = parseDriftReadings(`t_s,north\n${rows}\n`, 'd.csv', now, 'Capella');
    const sigmaArcsec = (unitArcsec: number, statedRad?: number): number =>
      judgeDrift(readings, site, unitArcsec * arcsecond, statedRad).fit.lines[0].sigmaRad / arcsecond;
    // Common practice: 1 to 2 arcseconds of seeing; by eye a fifth of a division.
    expect(sigmaArcsec(1)).toBeGreaterThan(1.4);
    expect(sigmaArcsec(1)).toBeLessThan(2);
    expect(sigmaArcsec(12)).toBeGreaterThan(2.4);
    expect(sigmaArcsec(1, 0.01 * arcsecond)).toBeGreaterThan(1.4);
    expect(sigmaArcsec(1, 5 * arcsecond)).toBeCloseTo(5, 6);
  });
  it('warns of a scatter that the stated error does not explain', () => {
    const rows = Array.from({ length: 8 }, (_, i) => `${i * 40},${i % 2 === 0 ? 0 : 30}`).join('\n');
    const readings = parseDriftReadings(`t_s,north\n${rows}\n`, 'd.csv', now, 'Capella');
    const { gates } = judgeDrift(readings, site, arcsecond, arcsecond);
    expect(gates.map(({ reason }) => reason).join()).toContain('scatter');
  });
});

describe('the horizon', () => {
  it('hides below its sectors, across north as well', () => {
    const sectors = parseSectors('330-60:55, 120-180:20');
    const at = (azimuth: number, altitude: number) => isHidden(sectors, azimuth * degree, altitude * degree);
    expect([at(350, 50), at(10, 50), at(10, 56), at(90, 1), at(150, 19), at(150, 21), at(-5, 30), at(90, -1)]).toEqual([
      true,
      true,
      false,
      false,
      true,
      false,
      true,
      true,
    ]);
  });
  it.each(['330:55', '10-20', '10-400:5', '10-20:95', 'north-east:10', '10-20:-5'])('refuses "%s"', (text) =>
    expect(failureOf(() => parseSectors(text)).whatToDo).toContain('FROM'.toLowerCase()),
  );
});
