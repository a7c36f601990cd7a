import { describe, expect, it } from 'vitest';
import { Random } from '../../firmware-proto/virtual/random.ts';
import { degree } from '../../calibration/angle.ts';
import type { Site } from '../../host/site/site.ts';
import { notNowWords, requireStarlight } from '../../host/sky/mayTake.ts';
import { starlight, starlightJson } from '../../host/sky/starlight.ts';
import { placeOf } from '../../host/sky/place.ts';
import { targetNamed } from '../../host/sky/target.ts';
import { starsToTake, visibleStars } from '../../host/sky/visible.ts';
import { driftStars, roughCovariance } from '../../host/steps/drift.ts';
import { nextStars } from '../../host/steps/sights.ts';

const siteAt = (latitudeDeg: number, longitudeDeg: number, elevationM = 0): Site => ({
  latitudeRad: latitudeDeg * degree,
  longitudeRad: longitudeDeg * degree,
  elevationM,
});

/**
 * Altitude of the Sun, degrees: J. Meeus, Astronomical Algorithms, 2nd ed. 1998, ch. 25 (low accuracy, 0.01 degree), sidereal time by
 * eq. 12.4, altitude by eq. 13.6. Written for this test; nothing of it is in the program.
 */
function meeusSunAltitudeDeg(latitudeDeg: number, longitudeDeg: number, ms: number): number {
  const sin = (deg: number): number => Math.sin((deg * Math.PI) / 180);
  const cos = (deg: number): number => Math.cos((deg * Math.PI) / 180);
  const days = ms / 86_400_000 + 2440587.5 - 2451545;
  const t = (days + 70 / 86_400) / 36_525;
  const meanLongitude = 280.46646 + 36000.76983 * t + 0.0003032 * t * t;
  const anomaly = 357.52911 + 35999.05029 * t - 0.0001537 * t * t;
  const centre =
    (1.914602 - 0.004817 * t) * sin(anomaly) +
    (0.019993 - 0.000101 * t) * sin(2 * anomaly) +
    0.000289 * sin(3 * anomaly);
  const node = 125.04 - 1934.136 * t;
  const longitude = meanLongitude + centre - 0.00569 - 0.00478 * sin(node);
  const obliquity = 23.439291 - 0.0130042 * t + 0.00256 * cos(node);
  const rightAscension = (Math.atan2(cos(obliquity) * sin(longitude), cos(longitude)) * 180) / Math.PI;
  const sinDeclination = sin(obliquity) * sin(longitude);
  const siderealDeg = 280.46061837 + 360.98564736629 * days + 0.000387933 * t * t;
  const hourAngle = siderealDeg + longitudeDeg - rightAscension;
  const up = sin(latitudeDeg) * sinDeclination + cos(latitudeDeg) * Math.sqrt(1 - sinDeclination ** 2) * cos(hourAngle);
  return (Math.asin(up) * 180) / Math.PI;
}

const minute = 60_000;
/** Of the low-accuracy Sun, with the sampling of its rise. */
const slackDeg = 0.03;

describe('stars and the Sun', () => {
  it("has the Sun of Meeus' example 25.a where the low-accuracy formula of this test has it", () => {
    // Example 25.a: 1992 October 13, 0h TD: right ascension 198.38083, declination -7.78507. Where it stands in the zenith its altitude is 90.
    const ms = Date.UTC(1992, 9, 13) - 59_000;
    const days = ms / 86_400_000 + 2440587.5 - 2451545;
    const below = 198.38083 - (280.46061837 + 360.98564736629 * days);
    expect(meeusSunAltitudeDeg(-7.78507, below, ms)).toBeGreaterThan(90 - 0.01);
  });

  it('names no star by day, and every star by night, at 200 random places and instants', () => {
    const random = new Random(9);
    const count = { day: 0, night: 0, between: 0 };
    for (let i = 0; i < 200; i += 1) {
      const latitudeDeg = (Math.asin(2 * random.uniform() - 1) * 180) / Math.PI;
      const longitudeDeg = 360 * random.uniform() - 180;
      const ms = Date.UTC(2026, 10, 29) + 4 * 365.25 * 86_400_000 * random.uniform();
      const [site, date] = [siteAt(latitudeDeg, longitudeDeg), new Date(ms)];
      const nowDeg = meeusSunAltitudeDeg(latitudeDeg, longitudeDeg, ms);
      const aheadDeg = Math.max(
        ...Array.from({ length: 21 }, (_, m) => meeusSunAltitudeDeg(latitudeDeg, longitudeDeg, ms + m * minute)),
      );
      const { sunAltitudeRad, darkFrom, reason } = starlight(site, date);
      expect(Math.abs(sunAltitudeRad / degree - nowDeg)).toBeLessThan(slackDeg);
      if (aheadDeg > -1 + slackDeg) {
        count.day += 1;
        expect(nextStars(undefined, site, date, [])).toEqual([]);
        expect(driftStars(site, date, roughCovariance, 5)).toEqual([]);
        expect(reason).toContain('take no star, planet or Moon');
        for (const name of ['Vega', 'alpha Cru', 'Moon', 'Venus', 'Jupiter', 'Sun'])
          expect(() => requireStarlight(targetNamed(name), site, date), name).toThrow();
        if (darkFrom) {
          const darkDeg = meeusSunAltitudeDeg(latitudeDeg, longitudeDeg, darkFrom.getTime());
          expect(Math.abs(darkDeg + 6)).toBeLessThan(slackDeg + 0.05);
        }
      } else if (nowDeg < -15) {
        count.night += 1;
        expect(starsToTake(site, date)).toEqual(visibleStars(site, date));
        expect([reason, darkFrom]).toEqual(['', date]);
      } else {
        count.between += 1;
        const named = [...nextStars(undefined, site, date, []), ...driftStars(site, date, roughCovariance, 5)];
        for (const { star } of named) expect(star.magnitude).toBeLessThan(-2 - nowDeg / 2 + slackDeg);
      }
    }
    expect(count).toEqual({ day: 100, night: 70, between: 30 });
  });

  const told = (site: Site, utc: string, name: string): string => notNowWords(targetNamed(name), site, new Date(utc));
  /** In the Alps, at the end of November: the Sun sets about 15:43 UTC. */
  const alps = siteAt(46, 8);

  it('takes stars of magnitude 1 from the end of civil twilight and of magnitude 4 from that of nautical twilight', () => {
    // Depressions of 6 and 12 degrees: Explanatory Supplement to the Astronomical Almanac; the magnitudes: common practice.
    const limitAt = (utc: string): [number, number] => {
      const { sunAltitudeRad, faintestMagnitude } = starlight(alps, new Date(utc));
      return [sunAltitudeRad / degree, faintestMagnitude];
    };
    const { darkFrom } = starlight(alps, new Date('2026-11-29T15:58Z'));
    expect(limitAt(darkFrom?.toISOString() ?? '')[0]).toBeCloseTo(-6, 1);
    expect(limitAt(darkFrom?.toISOString() ?? '')[1]).toBeCloseTo(1, 1);
    const late = starlight(alps, new Date('2026-11-29T15:58Z'), 4).darkFrom;
    expect(limitAt(late?.toISOString() ?? '')[0]).toBeCloseTo(-12, 1);
    expect(limitAt(late?.toISOString() ?? '')[1]).toBeCloseTo(4, 1);
  });

  it('tells from when a star, the Moon or a planet may be taken, and never the Sun', () => {
    expect(told(alps, '2026-11-29T12:00Z', 'vega')).toBe(
      'Do not take Vega now. The Sun is up, 21.8° high: take no star, planet or Moon. Take Vega from 2026-11-29 16:07 UTC on.',
    );
    // five days after full it rises five hours after sunset
    expect(told(alps, '2026-11-29T12:00Z', 'moon')).toMatch(
      /^Do not take the Moon now\. .* Take the Moon from 2026-11-29 22:\d\d UTC on\.$/,
    );
    expect(told(alps, '2026-11-29T16:10Z', 'vega')).toBe('');
    expect(told(alps, '2026-11-29T16:10Z', 'ain')).toBe(
      'Do not take Ain now. The Sun is only 4.6° below the horizon: stars fainter than magnitude 0.3 cannot be found. Take Ain from 2026-11-29 17:14 UTC on.',
    );
    expect(told(alps, '2026-11-29T06:33Z', 'vega')).toMatch(/only \d\.\d° below the horizon and about to rise/);
    expect(told(alps, '2026-11-29T22:00Z', 'sun')).toContain('Never look at the Sun through an instrument');
  });

  /** In the south of New Zealand. */
  const south = siteAt(-45, 169);

  // A star culminates at 90 degrees less its distance in declination from the latitude (Meeus 1998, ch. 13); declinations of the Hipparcos Catalogue.
  it.each([
    // -52.7: culminates 8.7 degrees below the horizon
    [alps, '2026-11-29T12:00Z', 'canopus', 'Canopus does not rise 12° high here.', 'Vega, Capella or Altair'],
    // -34.4: culminates at 9.6 degrees
    [alps, '2026-11-29T12:00Z', 'kaus australis', 'Kaus Australis does not rise 12°', 'Vega, Capella or Altair'],
    // +38.8: culminates at 6.2 degrees
    [south, '2026-11-29T00:00Z', 'vega', 'Vega does not rise 12° high here.', 'Canopus'],
    // right ascension 16.5 h, the Sun's 16.3 h
    [alps, '2026-11-29T12:00Z', 'antares', 'Within the next 24 hours Antares stands 12° high only by day.', 'Vega, '],
    [south, '2026-11-29T00:00Z', 'antares', 'Within the next 24 hours Antares stands 12° high only by day.', 'Canopus'],
  ])('names others in place of a star that does not stand well in the dark: %#', (site, utc, name, why, others) => {
    const words = told(site, utc, name);
    expect(words).toContain(`take no star, planet or Moon. ${why}`);
    const [, names, from] = /Take (.*) from (.*) UTC on instead\.$/.exec(words) ?? [];
    expect(names).toContain(others);
    const then = new Date(`${from.replace(' ', 'T')}Z`);
    const standing = visibleStars(site, then).map(({ star }) => star.name);
    for (const other of names.split(/, | or /)) {
      expect(standing).toContain(other);
      expect(told(site, then.toISOString(), other)).toBe('');
    }
  });

  it('says from when a star stands 12 degrees high in the dark, in the middle of the night and at dawn as well', () => {
    for (const [site, name, from] of [
      [alps, 'jupiter', '2026-11-29 23:0\\d'],
      [alps, 'arcturus', '2026-11-30 03:0\\d'],
      [south, 'spica', '2026-11-29 16:0\\d'],
    ] as const) {
      const words = told(site, '2026-11-29T06:30Z', name);
      const [, utc] = /Take .* from (.*) UTC on\.$/.exec(words) ?? [];
      expect(utc, words).toMatch(new RegExp(from));
      const at = (minutes: number): number =>
        placeOf(targetNamed(name), site, new Date(Date.parse(`${utc.replace(' ', 'T')}Z`) + minutes * minute))
          .refractedAltitudeRad / degree;
      expect(at(0)).toBeGreaterThan(12);
      expect(at(-2)).toBeLessThan(12);
    }
  });

  it('waits until a star clears what is marked on the horizon', () => {
    const wood = { ...alps, horizon: [{ fromAzimuthRad: 0, toAzimuthRad: 6.28, altitudeRad: 40 * degree }] };
    expect(told(alps, '2026-11-29T12:00Z', 'rigel')).toMatch(/from 2026-11-29 19:5\d UTC on\.$/);
    // -8.2: culminates at 35.8 degrees
    expect(told(wood, '2026-11-29T12:00Z', 'rigel')).toContain(
      'Rigel does not rise 12° high here and clear of what you marked on the horizon. Take Vega, Altair or Deneb from',
    );
    expect(told(wood, '2026-11-29T12:00Z', 'aldebaran')).toMatch(/from 2026-11-29 2[01]:\d\d UTC on\.$/);
  });

  it('waits longer on a mountain, from which the Sun is seen below the level horizon', () => {
    // Dip of 1.76' root(metres), Nautical Almanac: 97' at 3000 m.
    const utc = new Date('2026-11-29T15:55Z');
    const { sunAltitudeRad } = starlight(alps, utc);
    expect(sunAltitudeRad / degree).toBeGreaterThan(-2.6);
    expect(sunAltitudeRad / degree).toBeLessThan(-1.1);
    expect(starlight(alps, utc).faintestMagnitude).toBeGreaterThan(-2);
    expect(starlight(siteAt(46, 8, 3000), utc).faintestMagnitude).toBe(-Infinity);
  });

  it('says that there is no dark under the midnight Sun, and takes stars at noon in the polar night', () => {
    const midsummer = starlightJson(starlight(siteAt(70, 25), new Date('2027-06-21T22:00Z')));
    expect(midsummer.darkFrom).toBeNull();
    expect(midsummer.sunAltitudeDeg).toBeGreaterThan(3);
    expect(midsummer.reason).toContain('Within the next 24 hours the Sun does not sink far enough.');
    const noon = starlight(siteAt(78, 15), new Date('2026-12-20T11:00Z'), 2);
    expect([noon.darkFrom, noon.whatToDo]).toEqual([new Date('2026-12-20T11:00Z'), '']);
    expect(noon.faintestMagnitude).toBeCloseTo(3.7, 1);
    expect(told(siteAt(60, 25), '2027-06-20T22:20Z', 'ain')).toContain('does not sink far enough');
  });
});
