import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { Failure } from '../../host/failure.ts';
import {
  assumedEastWords,
  parseElevation,
  parseLatitude,
  parseLongitude,
  positionText,
} from '../../host/site/coordinates.ts';
import { parseInstant } from '../../host/site/instant.ts';
import { findPlace } from '../../host/site/places.ts';
import { parsePosition } from '../../host/site/position.ts';

describe('coordinates', () => {
  it.each([
    ['47.2583', 47.2583],
    ['-47.2583', -47.2583],
    ['−47.2583', -47.2583],
    ['47.5N', 47.5],
    ['S 33.5', -33.5],
    ['33.5s', -33.5],
    ['47°15\'30"N', 47.258333],
    ['47º 15′ 30″ S', -47.258333],
    ['47d15m30s', 47.258333],
    ['47 15 30 N', 47.258333],
    ['47:15:30', 47.258333],
    ['47 15.5', 47.258333],
    ["47d15.5'N", 47.258333],
    ['47 deg 15 min 30 sec north', 47.258333],
    ['0', 0],
    ['90', 90],
    ["-0d30'", -0.5],
  ])('latitude %s', (text, expected) => expect(parseLatitude(text) / degree).toBeCloseTo(expected, 5));

  it.each([
    ["11d47'W", -11.783333],
    ['112 30 15 w', -112.504167],
    ['247.5', -112.5],
    ['-180', -180],
    ['148.25 east', 148.25],
  ])('longitude %s', (text, expected) => expect(parseLongitude(text) / degree).toBeCloseTo(expected, 5));

  it.each([
    '',
    '47,25',
    'N41S',
    '-47 S',
    '47.5 30',
    '47 75',
    '91',
    '47 15 60',
    '41W',
    'forty',
    '47 15 30 12',
    "47d15'30S",
    'NaN',
    '1e1',
    '4115',
  ])('refuses the latitude "%s" and says what to write', (text) => {
    expect(() => parseLatitude(text)).toThrow(Failure);
    try {
      parseLatitude(text);
    } catch (error) {
      expect((error as Failure).whatToDo).toContain('Write it as');
    }
  });

  it.each(['361', '-181', '200W', '41N'])('refuses the longitude "%s"', (text) =>
    expect(() => parseLongitude(text)).toThrow(Failure),
  );

  it.each([
    '47.26, -112.5',
    '47.26 -112.5',
    "47d15.6'N 112d30'W",
    'N47 15.6 W112 30',
    '47 15 36 N, 112 30 0 W',
    '47.26N112.5W',
  ])('position "%s"', (text) => {
    const { latitudeRad, longitudeRad } = parsePosition(text);
    expect(latitudeRad / degree).toBeCloseTo(47.26, 6);
    expect(longitudeRad / degree).toBeCloseTo(-112.5, 6);
  });

  it.each(['47.26', '47,26,112,5', '-112.5, 147', ''])('refuses the position "%s"', (text) =>
    expect(() => parsePosition(text)).toThrow(Failure),
  );

  // Stations whose locators are printed beside their coordinates: E. Tyson N5JTY, QST, January 1989 (from memory).
  it.each([
    ['FN31pr', 41.714775, -72.72726],
    ['JN58td', 48.14666, 11.60833],
    ['GF15vc', -34.91, -56.21166],
    ['FM18lw', 38.92, -77.065],
    ['RE78ir', -41.28333, 174.745],
  ])('grid locator %s', (text, latitudeDeg, longitudeDeg) => {
    const { latitudeRad, longitudeRad, remark } = parsePosition(text);
    expect(Math.abs(latitudeRad / degree - latitudeDeg)).toBeLessThanOrEqual(1.25 / 60);
    expect(Math.abs(longitudeRad / degree - longitudeDeg)).toBeLessThanOrEqual(2.5 / 60);
    expect(remark).toContain('1.3′ off');
  });

  it('takes longer locators as finer, and refuses one of four characters', () => {
    const { latitudeRad, longitudeRad, remark } = parsePosition('jn47fg39ax');
    expect(latitudeRad / degree).toBeCloseTo(47 + 15 / 60 + (9 * 15) / 3600 + (23.5 * 0.625) / 3600, 9);
    expect(longitudeRad / degree).toBeCloseTo(8 + 25 / 60 + (3 * 30) / 3600 + (0.5 * 1.25) / 3600, 9);
    expect(remark).toBe('');
    expect(() => parsePosition('JN47')).toThrow(/half a degree/);
  });

  // RFC 5870, sections 1, 3.4.4 and 6 (from memory).
  it.each([
    ['geo:13.4125,103.8667', 13.4125, 103.8667, undefined],
    ['geo:48.2010,16.3695,183', 48.201, 16.3695, 183],
    ['GEO:48.198634,16.371648;crs=wgs84;u=40', 48.198634, 16.371648, undefined],
    ['geo:-33.5,148.25?z=15', -33.5, 148.25, undefined],
  ])('link %s', (text, latitudeDeg, longitudeDeg, elevationM) => {
    const position = parsePosition(text);
    expect(position.latitudeRad / degree).toBeCloseTo(latitudeDeg, 9);
    expect(position.longitudeRad / degree).toBeCloseTo(longitudeDeg, 9);
    expect(position.elevationM).toBe(elevationM);
    expect(position.remark).toBe('');
  });

  it('says what a link leaves unsure', () =>
    expect(parsePosition('geo:47.25,8.3;u=1000').remark).toContain('the latitude may be 0.5′ off'));

  it.each(['geo:47.25', 'geo:91,8', 'geo:47.25,8.3;crs=moon', 'geo:47,25,8,3', 'geo:47.25,8.3;u=near', 'ZZ99zz'])(
    'refuses "%s"',
    (text) => expect(() => parsePosition(text)).toThrow(Failure),
  );

  it('reads its own echo back (property)', () => {
    const within = (limit: number) => fc.double({ min: -limit, max: limit, noNaN: true });
    fc.assert(
      fc.property(within(90), within(179.999), (latitudeDeg, longitudeDeg) => {
        const text = positionText({ latitudeRad: latitudeDeg * degree, longitudeRad: longitudeDeg * degree });
        const back = parsePosition(text);
        expect(Math.abs(back.latitudeRad / degree - latitudeDeg)).toBeLessThan(0.06 / 3600);
        expect(Math.abs(back.longitudeRad / degree - longitudeDeg)).toBeLessThan(0.06 / 3600);
      }),
      { seed: 20261125 },
    );
  });

  it.each([
    ['350', 350],
    ['350 m', 350],
    ['1000ft', 304.8],
    ['-10', -10],
  ])('elevation %s', (text, metres) => expect(parseElevation(text)).toBeCloseTo(metres, 9));
  it.each(['', 'high', '9001', '1,000', '12 km'])('refuses the elevation "%s"', (text) =>
    expect(() => parseElevation(text)).toThrow(Failure),
  );
});

describe('dates', () => {
  it.each([
    ['2026-11-25', '2026-11-25T00:00:00.000Z'],
    ['2026-11-25T21:30:05Z', '2026-11-25T21:30:05.000Z'],
    ['2026-11-25 21:30', '2026-11-25T21:30:00.000Z'],
    ['2026-11-25 21:30 UTC', '2026-11-25T21:30:00.000Z'],
    ['2026-11-25 08:30 +10:00', '2026-11-24T22:30:00.000Z'],
    ['2026-11-25T21:30:05.250-0600', '2026-11-26T03:30:05.250Z'],
    ['2028.5', '2028-07-02T00:00:00.000Z'],
  ])('%s', (text, iso) => expect(parseInstant(text).toISOString()).toBe(iso));
  it.each(['03/04/2026', '2026-13-01', '2026-02-30', '25.11.2026', 'tomorrow', '', '2026-11-25T24:00Z'])(
    'refuses "%s"',
    (text) => expect(() => parseInstant(text)).toThrow(Failure),
  );
});

describe('places', () => {
  it('finds a town in any case, without its accents, with its country', () => {
    expect(findPlace('sydney, au').latitudeRad / degree).toBeCloseTo(-33.868, 3);
    expect(findPlace('São Paulo').country).toBe('BR');
    expect(findPlace('sao_paulo, BR').country).toBe('BR');
  });
  it('names no town that is spelt otherwise, but says what to do', () => {
    try {
      findPlace('Qwrtzk');
      expect.unreachable();
    } catch (error) {
      expect((error as Failure).message).toContain('There is no town "Qwrtzk"');
      expect((error as Failure).whatToDo).toMatch(/^Name a larger town nearby, or read its latitude/);
    }
  });
  it('says what a longitude without sign and letter is taken for', () => {
    expect(assumedEastWords('112.5')).toContain('112.5 E assumed (no letter: east is positive)');
    expect(['-112.5', '+112.5', '112.5W', "112d30'E", '112 30 0 east', '247.5'].map(assumedEastWords)).toEqual(
      new Array<string>(6).fill(''),
    );
  });
  it('names near matches of an unknown town', () => {
    expect(() => findPlace('Melborne')).toThrow(Failure);
    try {
      findPlace('Melborne');
    } catch (error) {
      expect((error as Failure).whatToDo).toContain('Melbourne');
    }
  });
});
