import { describe, expect, it } from 'vitest';
import { arcminute, degree } from '../../calibration/angle.ts';
import { axisWithErrors, fromNed, truePole } from '../../calibration/polarAxis.ts';
import { aimAt, offsetIn, siderealDriveRadPerS, starNed, viewOf } from '../../firmware-proto/virtual/eyepiece.ts';
import { axisFrameOf } from '../../firmware-proto/virtual/mount.ts';

const square = { coneRad: 0, nonPerpendicularityRad: 0 };

/** How far a star moves in declination (north positive, arcseconds) while a drive follows it about a displaced axis. */
function declinationDrift(row: {
  latDeg: number;
  altitudeErrorArcmin: number;
  eastErrorArcmin: number;
  hourAngleDeg: number;
  decDeg: number;
  minutes: number;
}): number {
  const latitudeRad = row.latDeg * degree;
  const axis = axisWithErrors(
    truePole(latitudeRad),
    row.altitudeErrorArcmin * arcminute,
    row.eastErrorArcmin * arcminute,
  );
  const frame = axisFrameOf(axis);
  const place = { hourAngleRad: row.hourAngleDeg * degree, declinationRad: row.decDeg * degree };
  const drive = siderealDriveRadPerS(latitudeRad);
  const turn = drive * row.minutes * 60;
  const later = { ...place, hourAngleRad: place.hourAngleRad + Math.abs(turn) };
  const aim = aimAt(frame, square, starNed(latitudeRad, place), 'east');
  const followed = { ...aim, axisAngleRad: aim.axisAngleRad + turn };
  const offset = offsetIn(viewOf(frame, square, followed), starNed(latitudeRad, later));
  return ((offset?.upRad ?? NaN) / degree) * 3600 * Math.sign(row.latDeg);
}

describe('where a star stands', () => {
  it('is Meeus, Astronomical Algorithms, 2nd ed., example 13.b (Venus from Washington)', () => {
    const { altitudeRad, azimuthRad } = fromNed(
      starNed((38 + 55 / 60 + 17 / 3600) * degree, {
        hourAngleRad: 64.352133 * degree,
        declinationRad: -(6 + 43 / 60 + 11.61 / 3600) * degree,
      }),
    );
    expect(azimuthRad / degree).toBeCloseTo(248.0337, 4);
    expect(altitudeRad / degree).toBeCloseTo(15.1249, 4);
  });

  it('is the test vector of eraHd2ae (ERFA, src/t_erfa_c.c)', () => {
    const { altitudeRad, azimuthRad } = fromNed(starNed(0.3, { hourAngleRad: 1.1, declinationRad: 1.2 }));
    expect(azimuthRad).toBeCloseTo(5.916889243730066, 12);
    expect(altitudeRad).toBeCloseTo(0.44721863049904864, 12);
  });
});

describe('how a star drifts in the eyepiece', () => {
  it('is at most 15.7 arcseconds a minute for one degree (D. Rowe, Astro-Photography Mailing List, January 2002)', () => {
    const rate = declinationDrift({
      latDeg: 40,
      altitudeErrorArcmin: 60,
      eastErrorArcmin: 0,
      hourAngleDeg: -90,
      decDeg: 0,
      minutes: 1,
    });
    // 15.7 is for a solar day; a star goes round in 23 h 56 min.
    expect(rate / (366.2422 / 365.2422)).toBeCloseTo(15.7, 1);
  });

  it('goes the way that the drift method says, north (F. Barrett, Measuring polar axis alignment error, 2016)', () => {
    const base = { latDeg: 40, altitudeErrorArcmin: 0, eastErrorArcmin: 0, hourAngleDeg: 0, decDeg: 0, minutes: 5 };
    expect(declinationDrift({ ...base, eastErrorArcmin: 10 })).toBeLessThan(0);
    expect(declinationDrift({ ...base, eastErrorArcmin: -10 })).toBeGreaterThan(0);
    expect(declinationDrift({ ...base, altitudeErrorArcmin: -10, hourAngleDeg: -85 })).toBeLessThan(0);
    expect(declinationDrift({ ...base, altitudeErrorArcmin: 10, hourAngleDeg: -85 })).toBeGreaterThan(0);
  });

  it.each([
    [40, 0, 10, 0, 0, 10, -20.1039],
    [40, 10, 0, -90, 0, 10, 26.2432],
    [40, 10, 0, 90, 0, 10, -26.2432],
    [40, 0, 10, 0, 60, 10, -20.1021],
    [52, 5, -8, -30, 20, 20, 35.0229],
    // In the south an axis 10' clockwise of the pole stands west of it.
    [-35, 0, -10, 0, 0, 10, -21.4968],
    [-45, -4, -6, 30, -50, 15, -22.5031],
  ])(
    'agrees with exact spherical trigonometry computed outside this project: %d, %d, %d, %d, %d, %d min',
    (latDeg, altitudeErrorArcmin, eastErrorArcmin, hourAngleDeg, decDeg, minutes, arcsec) => {
      const drift = declinationDrift({ latDeg, altitudeErrorArcmin, eastErrorArcmin, hourAngleDeg, decDeg, minutes });
      expect(Math.abs(drift - arcsec)).toBeLessThan(0.002);
    },
  );
});
