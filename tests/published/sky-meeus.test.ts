import {
  Body,
  e_tilt,
  EquatorFromVector,
  GeoVector,
  MakeTime,
  RotateVector,
  Rotation_EQJ_EQD,
  Vector,
} from 'astronomy-engine';
import { describe, expect, it } from 'vitest';
import { arcminute, degree } from '../../calibration/angle.ts';
import { refractionOfApparentAltitude, refractionOfTrueAltitude, standardAir } from '../../calibration/refraction.ts';
import { horizontalOf, placeOf, siderealTimeRad, withProperMotion } from '../../host/sky/place.ts';
import { parseDeclination, parseRightAscension, targetNamed } from '../../host/sky/target.ts';

// J. Meeus, Astronomical Algorithms, 2nd ed., Willmann-Bell 1998; each test names the example.
const hms = (h: number, m: number, s: number): number => ((h + m / 60 + s / 3600) / 12) * Math.PI;
const dms = (sign: number, d: number, m: number, s: number): number => sign * (d + m / 60 + s / 3600) * degree;
const arcsec = (angleRad: number): number => (angleRad / degree) * 3600;

/** Dynamical time to UTC with the library's own difference. */
function fromDynamical(isoTd: string): Date {
  const td = new Date(isoTd);
  const { tt, ut } = MakeTime(td);
  return new Date(td.getTime() - (tt - ut) * 86_400_000);
}

/** Meeus has the IAU 1982 sidereal time, the library the IAU 2006 precession: 0.008 s apart in 1987. */
const newPrecessionS = 0.01;

const thetaPersei = {
  name: 'theta Persei',
  bayer: 'θ Per',
  hip: 12777,
  rightAscensionRad: hms(2, 44, 11.986),
  declinationRad: dms(1, 49, 13, 42.48),
  properMotionRaCosDecRad: hms(0, 0, 0.03425) * Math.cos(dms(1, 49, 13, 42.48)),
  properMotionDecRad: dms(-1, 0, 0, 0.0895),
  parallaxRad: 0,
  magnitude: 4.1,
};

describe('Meeus, Astronomical Algorithms', () => {
  it('12.a: apparent sidereal time at Greenwich, 1987 April 10, 0h UT', () => {
    const offset = siderealTimeRad(new Date('1987-04-10T00:00:00Z')) - hms(13, 10, 46.1351);
    expect(Math.abs(arcsec(offset)) / 15).toBeLessThan(newPrecessionS);
  });

  it('12.b and 13.b: sidereal time at 19h21m UT, mean from apparent by the equation of the equinoxes', () => {
    const date = new Date('1987-04-10T19:21:00Z');
    const apparent = siderealTimeRad(date);
    expect(Math.abs(arcsec(apparent - hms(8, 34, 56.853))) / 15).toBeLessThan(newPrecessionS);
    const mean = apparent - hms(0, 0, e_tilt(MakeTime(date)).ee);
    expect(Math.abs(arcsec(mean - hms(8, 34, 57.0896))) / 15).toBeLessThan(newPrecessionS);
  });

  it('13.b: Venus from the U.S. Naval Observatory, from hour angle and declination', () => {
    const { altitudeRad, azimuthRad } = horizontalOf(64.352133 * degree, dms(-1, 6, 43, 11.61), dms(1, 38, 55, 17));
    expect(azimuthRad / degree - 180).toBeCloseTo(68.0337, 4);
    expect(altitudeRad / degree).toBeCloseTo(15.1249, 4);
  });

  it('13.b: the same from the apparent right ascension and declination through the sky path', () => {
    const place = placeOf(
      {
        kind: 'direction',
        direction: {
          rightAscensionRad: parseRightAscension('23h09m16.641s'),
          declinationRad: parseDeclination('-6d43m11.61'),
        },
        equinox: 'date',
      },
      { latitudeRad: dms(1, 38, 55, 17), longitudeRad: -hms(5, 8, 15.7), elevationM: 0 },
      new Date('1987-04-10T19:21:00Z'),
    );
    expect(place.hourAngleRad / degree).toBeCloseTo(64.352133, 4);
    expect(place.azimuthRad / degree).toBeCloseTo(248.0337, 3);
    expect(place.altitudeRad / degree).toBeCloseTo(15.1249, 3);
  });

  it('13.b: the same with Venus computed, topocentric (her parallax is 8 arcseconds at most)', () => {
    const site = { latitudeRad: dms(1, 38, 55, 17), longitudeRad: -hms(5, 8, 15.7), elevationM: 0 };
    const place = placeOf(targetNamed('venus'), site, new Date('1987-04-10T19:21:00Z'));
    expect(Math.abs(place.altitudeRad / degree - 15.1249) * 3600).toBeLessThan(10);
    expect(Math.abs(place.azimuthRad / degree - 248.0337) * 3600).toBeLessThan(10);
  });

  it('16.a: the Sun near the horizon, Bennett and Saemundsson', () => {
    const bennett = refractionOfApparentAltitude(0.5 * degree) / arcminute;
    expect(bennett).toBeCloseTo(28.754, 3);
    expect(30 - bennett).toBeCloseTo(1.246, 3);
    expect(refractionOfTrueAltitude(33.246 * arcminute) / arcminute).toBeCloseTo(24.618, 3);
  });

  it('chapter 16: zenith values, agreement of the two formulas, scaling with pressure and temperature', () => {
    expect(arcsec(refractionOfApparentAltitude(90 * degree))).toBeCloseTo(-0.08, 2);
    for (let h = 0; h < 90; h += 0.5) {
      const trueAltitude = h * degree;
      const lift = refractionOfTrueAltitude(trueAltitude);
      expect(Math.abs(lift - refractionOfApparentAltitude(trueAltitude + lift)) / arcminute).toBeLessThan(0.1);
    }
    const scaled = refractionOfTrueAltitude(0.3, { pressureHpa: 505, temperatureC: 293 });
    expect(scaled).toBeCloseTo(refractionOfTrueAltitude(0.3, standardAir) / 4, 12);
  });

  it('21.b: theta Persei, mean place of 2028 November 13.19 TD', () => {
    const date = fromDynamical('2028-11-13T04:33:36Z');
    const moved = withProperMotion(thetaPersei, date);
    const time = MakeTime(date);
    const c = Math.cos(moved.declinationRad);
    const j2000 = new Vector(
      c * Math.cos(moved.rightAscensionRad),
      c * Math.sin(moved.rightAscensionRad),
      Math.sin(moved.declinationRad),
      time,
    );
    const trueOfDate = EquatorFromVector(RotateVector(Rotation_EQJ_EQD(time), j2000));
    const alpha = (trueOfDate.ra / 12) * Math.PI;
    const delta = trueOfDate.dec * degree;
    // Nutation taken off again to first order: Meeus eq. 23.1.
    const { dpsi, deps, tobl } = e_tilt(time);
    const [sinE, cosE] = [Math.sin(tobl * degree), Math.cos(tobl * degree)];
    const nutationRa =
      (cosE + sinE * Math.sin(alpha) * Math.tan(delta)) * dpsi - Math.cos(alpha) * Math.tan(delta) * deps;
    const nutationDec = sinE * Math.cos(alpha) * dpsi + Math.sin(alpha) * deps;
    expect(Math.abs(arcsec(alpha - hms(2, 46, 11.331)) - nutationRa)).toBeLessThan(0.15);
    expect(Math.abs(arcsec(delta - dms(1, 49, 20, 54.54)) - nutationDec)).toBeLessThan(0.1);
  });

  it('23.a: theta Persei, apparent place of the same instant (diurnal aberration: 0.3 arcsecond)', () => {
    const site = { latitudeRad: 0.7, longitudeRad: 0.2, elevationM: 0 };
    const place = placeOf({ kind: 'star', star: thetaPersei }, site, fromDynamical('2028-11-13T04:33:36Z'));
    const cosDec = Math.cos(place.declinationRad);
    expect(Math.abs(arcsec(place.rightAscensionRad - hms(2, 46, 14.39))) * cosDec).toBeLessThan(0.6);
    expect(Math.abs(arcsec(place.declinationRad - dms(1, 49, 21, 7.45)))).toBeLessThan(0.6);
  });

  it('25.a: the Sun, 1992 October 13.0 TD, apparent geocentric place by low accuracy (0.01 degree) and by VSOP87', () => {
    const date = fromDynamical('1992-10-13T00:00:00Z');
    const time = MakeTime(date);
    const sun = EquatorFromVector(RotateVector(Rotation_EQJ_EQD(time), GeoVector(Body.Sun, date, true)));
    const [ra, dec] = [(sun.ra / 12) * Math.PI, sun.dec * degree];
    expect(Math.abs(ra - hms(13, 13, 31.4)) / degree).toBeLessThan(0.01);
    expect(Math.abs(dec - dms(-1, 7, 47, 6)) / degree).toBeLessThan(0.01);
    expect(Math.abs(arcsec(ra - hms(13, 13, 30.749)))).toBeLessThan(1);
    expect(Math.abs(arcsec(dec - dms(-1, 7, 47, 1.74)))).toBeLessThan(1);
    // Through the sky path the place is topocentric: the solar parallax of 8.8 arcseconds at most is all that differs.
    const site = { latitudeRad: 0.7, longitudeRad: 0.2, elevationM: 0 };
    const place = placeOf(targetNamed('sun'), site, date);
    expect(Math.abs(arcsec(place.declinationRad - dms(-1, 7, 47, 1.74)))).toBeLessThan(9.8);
    expect(Math.abs(arcsec(place.rightAscensionRad - hms(13, 13, 30.749)))).toBeLessThan(9.8);
  });
});

describe('refraction against ray tracing (SOFA/ERFA eraRefco documentation table)', () => {
  // 1005 hPa, 280.15 K: observed zenith distance in degrees, refraction in arcseconds.
  const rows: [number, number][] = [
    [10, 10.27],
    [20, 21.19],
    [30, 33.61],
    [45, 58.16],
    [60, 100.51],
    [70, 158.63],
    [80, 319.13],
  ];
  it.each(rows)('at zenith distance %d: %f arcseconds within 0.12 arcminute', (zenithDistanceDeg, published) => {
    const air = { pressureHpa: 1005, temperatureC: 7 };
    const ours = arcsec(refractionOfApparentAltitude((90 - zenithDistanceDeg) * degree, air));
    expect(Math.abs(ours - published)).toBeLessThan(7);
  });
});

describe('stars near the poles (common practice)', () => {
  it('Sigma Octantis is of the fifth magnitude, a degree from the pole', () => {
    const target = targetNamed('sigma Octantis');
    expect(target.kind === 'star' && Math.round(target.star.magnitude)).toBe(5);
  });
});
