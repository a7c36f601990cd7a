import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { arcminute, degree } from '../../calibration/angle.ts';
import { fieldMotion, home, starAfter } from '../../calibration/nudge/starAfter.ts';
import { readShift } from '../../calibration/nudge/readShift.ts';
import { toNed } from '../../calibration/polarAxis.ts';
import { starNamed } from '../../host/sky/stars.ts';
import { planStarNudge } from '../../host/steps/starNudge.ts';

// Refracted places of stars by ERFA 2.0.0 (the IAU SOFA algorithms); the file names its source, models and limits.
interface Row {
  case: number;
  kind: string;
  name: string;
  hip: number;
  utc: string;
  lat_deg: number;
  lon_deg: number;
  height_m: number;
  az_refracted_deg: number;
  alt_refracted_deg: number;
  dec_apparent_deg: number;
}
const rows = (
  JSON.parse(readFileSync(new URL('altaz-reference.json', import.meta.url), 'utf8')) as { rows: Row[] }
).rows.filter(({ kind, dec_apparent_deg: dec }) => kind === 'star' && Math.abs(dec) < 85);

type Quaternion = [number, number, number, number];
const times = ([a, b, c, d]: Quaternion, [e, f, g, h]: Quaternion): Quaternion => [
  a * e - b * f - c * g - d * h,
  a * f + b * e + c * h - d * g,
  a * g - b * h + c * e + d * f,
  a * h + b * g - c * f + d * e,
];
/** W. R. Hamilton's product q v q*, here with the axes east, north, up. */
function turned([x, y, z]: number[], axis: number[], angleDeg: number): number[] {
  const half = (angleDeg * Math.PI) / 360;
  const q: Quaternion = [Math.cos(half), ...(axis.map((part) => part * Math.sin(half)) as [number, number, number])];
  return times(times(q, [0, x, y, z]), [q[0], -q[1], -q[2], -q[3]]).slice(1);
}

/** Hour angle and declination of a direction east-north-up by spherical trigonometry (Meeus 1998, ch. 13), degrees. */
function equatorial([east, north, up]: number[], latDeg: number): { hourAngle: number; dec: number } {
  const lat = (latDeg * Math.PI) / 180;
  const altitude = Math.asin(up);
  const fromSouth = Math.atan2(-east, -north);
  return {
    hourAngle: Math.atan2(
      Math.sin(fromSouth),
      Math.cos(fromSouth) * Math.sin(lat) + Math.tan(altitude) * Math.cos(lat),
    ),
    dec: Math.asin(Math.sin(lat) * Math.sin(altitude) - Math.cos(lat) * Math.cos(altitude) * Math.cos(fromSouth)),
  };
}

/** Where the star stands from the tube, arcminutes, by quaternions and by the differences of right ascension and declination. */
function byQuaternions(row: Row, altitudeErrorDeg: number, azimuthErrorDeg: number) {
  const south = row.lat_deg < 0;
  const [alt, az] = [row.alt_refracted_deg, row.az_refracted_deg].map((deg) => (deg * Math.PI) / 180);
  const star = [Math.cos(alt) * Math.sin(az), Math.cos(alt) * Math.cos(az), Math.sin(alt)];
  // too far east is clockwise from above under the northern pole, so the way home is anticlockwise about up; the other way in the south
  const level = turned(star, [0, 0, 1], south ? -azimuthErrorDeg : azimuthErrorDeg);
  // home the axis looks due north or due south: raising it turns about west or about east, so lowering about the other
  const tube = turned(level, south ? [-1, 0, 0] : [1, 0, 0], -altitudeErrorDeg);
  const [from, to] = [equatorial(tube, row.lat_deg), equatorial(star, row.lat_deg)];
  const eastward = from.hourAngle - to.hourAngle;
  return {
    north:
      ((Math.sin(to.dec) * Math.cos(from.dec) - Math.cos(to.dec) * Math.sin(from.dec) * Math.cos(eastward)) * 10800) /
      Math.PI,
    east: (Math.cos(to.dec) * Math.sin(eastward) * 10800) / Math.PI,
  };
}

const errors = [
  [30, -45],
  [-12, 80],
  [0, 25],
  [18, 0],
  [-100, -150],
];

describe('where a star comes to stand, against quaternions on ERFA places', () => {
  it('has rows in both hemispheres', () => {
    expect(rows.filter(({ lat_deg: lat }) => lat > 0).length).toBeGreaterThan(3);
    expect(rows.filter(({ lat_deg: lat }) => lat < 0).length).toBeGreaterThan(3);
  });
  for (const row of rows) {
    it(`case ${row.case}: ${row.name} from latitude ${row.lat_deg}`, () => {
      const latitudeRad = row.lat_deg * degree;
      const starNed = toNed({ altitudeRad: row.alt_refracted_deg * degree, azimuthRad: row.az_refracted_deg * degree });
      for (const [altitude, azimuth] of errors) {
        const from = { altitudeErrorRad: altitude * arcminute, azimuthErrorRad: azimuth * arcminute };
        const place = starAfter(starNed, latitudeRad, from, home);
        const expected = byQuaternions(row, altitude / 60, azimuth / 60);
        expect(place.northRad / arcminute).toBeCloseTo(expected.north, 6);
        expect(place.eastRad / arcminute).toBeCloseTo(expected.east, 6);
      }
    });
  }
});

it('the plan of a star by its name holds them to 0.05 arcminute', () => {
  for (const row of rows) {
    const site = { latitudeRad: row.lat_deg * degree, longitudeRad: row.lon_deg * degree, elevationM: row.height_m };
    const star = starNamed(`HIP ${row.hip}`)!;
    for (const [altitude, azimuth] of errors) {
      const axis = {
        altitudeErrorRad: altitude * arcminute,
        azimuthErrorRad: azimuth * arcminute,
        axisCovariance: [0, 0, 0, 0] as const,
      };
      const plan = planStarNudge(star, site, new Date(row.utc), axis, { fieldRad: Infinity, sigmaReadRad: arcminute });
      const expected = byQuaternions(row, altitude / 60, azimuth / 60);
      expect(Math.abs(plan.whole.northRad / arcminute - expected.north), row.name).toBeLessThan(0.05);
      expect(Math.abs(plan.whole.eastRad / arcminute - expected.east), row.name).toBeLessThan(0.05);
    }
  }
});

describe('what a reading tells', () => {
  const near = rows.filter(({ alt_refracted_deg: alt }) => alt < 75);
  it.each(near.map((row) => [row.case, row] as const))('is the shift that was made, case %i', (_, row) => {
    const latitudeRad = row.lat_deg * degree;
    const starNed = toNed({ altitudeRad: row.alt_refracted_deg * degree, azimuthRad: row.az_refracted_deg * degree });
    const from = { altitudeErrorRad: 21 * arcminute, azimuthErrorRad: -34 * arcminute };
    const to = { altitudeErrorRad: -3 * arcminute, azimuthErrorRad: 5 * arcminute };
    const read = readShift(starNed, latitudeRad, from, starAfter(starNed, latitudeRad, from, to), arcminute, 0);
    expect(read.altitudeShiftRad / arcminute).toBeCloseTo(-24, 6);
    expect(read.azimuthShiftRad / arcminute).toBeCloseTo(39, 6);
    // the covariance against differences of the inverse
    const step = 1e-6;
    const moved = (north: number, east: number) =>
      readShift(starNed, latitudeRad, from, { northRad: north, eastRad: east }, arcminute, 0);
    const at = starAfter(starNed, latitudeRad, from, to);
    const [n, e] = [moved(at.northRad + step, at.eastRad), moved(at.northRad, at.eastRad + step)];
    const byNorth = [n.altitudeShiftRad - read.altitudeShiftRad, n.azimuthShiftRad - read.azimuthShiftRad];
    const byEast = [e.altitudeShiftRad - read.altitudeShiftRad, e.azimuthShiftRad - read.azimuthShiftRad];
    const variance = (i: number, j: number) =>
      ((byNorth[i] * byNorth[j] + byEast[i] * byEast[j]) / step ** 2) * arcminute ** 2;
    // it is taken where the axis was before, so that it is off by the second order of the shift
    for (const [index, one] of [
      [0, 0],
      [3, 1],
    ] as const) {
      expect(Math.sqrt(read.covariance[index] / variance(one, one))).toBeGreaterThan(0.94);
      expect(Math.sqrt(read.covariance[index] / variance(one, one))).toBeLessThan(1.06);
    }
  });

  it('moves to first order as the exact rotations do', () => {
    for (const row of rows) {
      const latitudeRad = row.lat_deg * degree;
      const starNed = toNed({ altitudeRad: row.alt_refracted_deg * degree, azimuthRad: row.az_refracted_deg * degree });
      const motion = fieldMotion(starNed, latitudeRad);
      const d = 1e-5;
      const alone = [
        starAfter(starNed, latitudeRad, home, { altitudeErrorRad: d, azimuthErrorRad: 0 }),
        starAfter(starNed, latitudeRad, home, { altitudeErrorRad: 0, azimuthErrorRad: d }),
      ];
      expect(motion[0]).toBeCloseTo(alone[0].northRad / d, 3);
      expect(motion[1]).toBeCloseTo(alone[1].northRad / d, 3);
      expect(motion[2]).toBeCloseTo(alone[0].eastRad / d, 3);
      expect(motion[3]).toBeCloseTo(alone[1].eastRad / d, 3);
    }
  });
});
