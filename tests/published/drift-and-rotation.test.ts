import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { arcminute, arcsecond, degree } from '../../calibration/angle.ts';
import { driftRates, mountDeclination, fieldAngle } from '../../calibration/drift/driftModel.ts';
import {
  allowedForExposure,
  allowedForEyepiece,
  largestDriftRadPerS,
  largestFieldRotationRadPerS,
  skyRadPerS,
} from '../../calibration/enough.ts';
import { starNed } from '../../firmware-proto/virtual/eyepiece.ts';

const reference = JSON.parse(readFileSync(new URL('drift-exact.json', import.meta.url), 'utf8'));

describe('declination drift and field rotation by exact geometry (drift-exact.json)', () => {
  for (const { id, inputs, outputs } of reference.rows) {
    it(`${id}: latitude ${inputs.lat_deg}, declination ${inputs.dec_deg}, hour angle ${inputs.hour_angle_deg}`, () => {
      const latitudeRad = inputs.lat_deg * degree;
      // That file counts azimuth through east in both hemispheres; here it is east of the elevated pole.
      const errors = {
        altitudeErrorRad: inputs.axis_alt_error_arcmin * arcminute,
        azimuthErrorRad: Math.sign(latitudeRad) * inputs.axis_az_error_arcmin * arcminute,
      };
      const at = (minutes: number) =>
        starNed(latitudeRad, {
          hourAngleRad: inputs.hour_angle_deg * degree + skyRadPerS * 60 * minutes,
          declinationRad: inputs.dec_deg * degree,
        });
      const [first, last] = [at(0), at(inputs.minutes)];
      const drift =
        mountDeclination(last, latitudeRad, errors).declinationRad -
        mountDeclination(first, latitudeRad, errors).declinationRad;
      expect(drift / arcsecond).toBeCloseTo(outputs.dec_drift_arcsec, 3);
      // The file words the angle from the mount's north to the true north; its numbers count the other way round.
      const rotation = fieldAngle(last, latitudeRad, errors) - fieldAngle(first, latitudeRad, errors);
      expect(rotation / arcsecond).toBeCloseTo(outputs.field_rotation_arcsec, 3);
    });
  }
});

describe('rules of declination drift', () => {
  const perMinute = (distanceRad: number): number => (largestDriftRadPerS(distanceRad) * 60) / arcsecond;

  it('1 arcminute drifts at most about 0.26 arcsecond a minute (common practice)', () => {
    expect(perMinute(arcminute)).toBeCloseTo(0.2625, 4);
  });
  it('1 degree: 15.7 arcseconds a minute (Rowe 2002, mailing list, solar minutes)', () => {
    expect(perMinute(degree)).toBeCloseTo(15.7, 0);
    expect(Math.abs(perMinute(degree) / 15.7 - 1)).toBeLessThan(0.005);
  });
  it('2 arcminutes for half an hour: 15.7 arcseconds (Covington 1999, appendix B)', () => {
    expect(Math.abs((30 * perMinute(2 * arcminute)) / 15.7 - 1)).toBeLessThan(0.005);
  });
  it.each([
    [2, 0.125],
    [4, 0.25],
    [8, 0.5],
    [16, 1],
  ])('%d arcseconds a minute: %f degree (Covington, table 9.1, rounded there by 2 percent)', (rate, errorDeg) => {
    expect(Math.abs(perMinute(errorDeg * degree) / rate - 1)).toBeLessThan(0.025);
  });

  it.each([
    ['on the meridian, axis too far east: south', 40, 0, 0, 10, -1],
    ['on the meridian, axis too far west: north', 40, 0, 0, -10, 1],
    ['6 h east, axis too low: south', 40, -90, -10, 0, -1],
    ['6 h east, axis too high: north', 40, -90, 10, 0, 1],
    ['6 h east in the south, axis too high: the other way', -35, -90, 10, 0, -1],
    ['6 h west, axis too high: the other way', 40, 90, 10, 0, -1],
  ])('%s (rule of the drift method)', (_, latitudeDeg, hourAngleDeg, altitudeArcmin, azimuthArcmin, sign) => {
    const latitudeRad = latitudeDeg * degree;
    const star = starNed(latitudeRad, { hourAngleRad: hourAngleDeg * degree, declinationRad: 0 });
    const { byAltitude, byAzimuth } = driftRates(star, latitudeRad);
    expect(Math.sign(altitudeArcmin * byAltitude + azimuthArcmin * byAzimuth)).toBe(sign);
  });
});

describe('field rotation', () => {
  it('10 arcminutes, 5 minutes, 3 degrees away, 300 mm, declination 41: 1.3 micrometres (published example)', () => {
    const turned = largestFieldRotationRadPerS(10 * arcminute, 41 * degree) * 300;
    expect(turned * 3 * degree * 0.3 * 1e6).toBeCloseTo(1.3, 1);
  });

  it("Hook's rule: E = 45000 S cos D / (T F A), J. Br. Astron. Assoc. 99 (1989) 19, second hand", () => {
    for (const [smearUm, declinationDeg, minutes, focalMm, awayDeg] of [
      [20, 0, 10, 1000, 0.5],
      [10, 41, 5, 300, 3],
      [25, 60, 30, 2000, 0.7],
    ]) {
      const rule = (45000 * smearUm * Math.cos(declinationDeg * degree)) / (minutes * focalMm * awayDeg);
      const { rotationRad } = allowedForExposure({
        exposureS: minutes * 60,
        focalLengthM: focalMm / 1000,
        declinationRad: declinationDeg * degree,
        smearM: smearUm * 1e-6,
        cornerRad: awayDeg * degree,
        guided: true,
      });
      expect(Math.abs(rotationRad / arcminute / rule - 1)).toBeLessThan(0.005);
    }
  });

  it('0.2625 arcsecond a minute for each arcminute at the equator, twice that at declination 60', () => {
    const rate = (declinationDeg: number) =>
      (largestFieldRotationRadPerS(arcminute, declinationDeg * degree) * 60) / arcsecond;
    expect(rate(0)).toBeCloseTo(0.2625, 4);
    expect(rate(60)).toBeCloseTo(0.525, 4);
  });
});

describe('an eyepiece', () => {
  it('of 40 arcminutes keeps a driven target for an hour up to 76 arcminutes from the pole', () => {
    expect(allowedForEyepiece(40 * arcminute, 3600) / arcminute).toBeCloseTo((20 * 60) / (0.26252 * 60), 0);
  });
});
