// Shifts of the axis, as read on a star and as put together, against numeric derivatives and dense matrices of ml-matrix.
import { inverse, Matrix, solve } from 'ml-matrix';
import { describe, expect, it } from 'vitest';
import { arcminute, degree } from '../../calibration/angle.ts';
import { fuseShifts, habitOf } from '../../calibration/nudge/habit.ts';
import { readShift, sigmaPlaceRad, tiltEastRad } from '../../calibration/nudge/readShift.ts';
import { starAfter } from '../../calibration/nudge/starAfter.ts';
import { cross, dot, normalise } from '../../calibration/vector.ts';
import { starNed } from '../../firmware-proto/virtual/eyepiece.ts';

type Covariance = readonly [number, number, number, number];
const matrixOf = ([a, b, c, d]: Covariance): Matrix =>
  new Matrix([
    [a, b],
    [c, d],
  ]);

describe('two readings of one shift, both with components that go together', () => {
  const one = { altitudeShiftRad: 3, azimuthShiftRad: -8, covariance: [4, 1.5, 1.5, 9] as const };
  const other = { altitudeShiftRad: 5, azimuthShiftRad: -2, covariance: [7, -2, -2, 3] as const };

  it('weigh by the inverse of their whole covariances, in either order', () => {
    const weights = [one, other].map(({ covariance }) => inverse(matrixOf(covariance)));
    const known = inverse(weights[0].clone().add(weights[1]));
    const shifts = [one, other].map((shift) => Matrix.columnVector([shift.altitudeShiftRad, shift.azimuthShiftRad]));
    const [altitude, azimuth] = known.mmul(weights[0].mmul(shifts[0]).add(weights[1].mmul(shifts[1]))).to1DArray();
    for (const fused of [fuseShifts(one, other), fuseShifts(other, one)]) {
      expect(fused.altitudeShiftRad).toBeCloseTo(altitude, 9);
      expect(fused.azimuthShiftRad).toBeCloseTo(azimuth, 9);
      fused.covariance.forEach((value, i) => expect(value).toBeCloseTo(known.get(i >> 1, i & 1), 9));
    }
  });
});

describe('what a mount does each time it is locked', () => {
  const seenAt = (arcminutes: readonly number[], variances: readonly number[]) =>
    arcminutes.map((shift, i) => ({
      altitudeShiftRad: shift * arcminute,
      azimuthShiftRad: -2 * shift * arcminute,
      covariance: [variances[i] * arcminute ** 2, 0, 0, 3 * variances[i] * arcminute ** 2] as const,
    }));

  it('differs by what the readings scatter beyond their own errors', () => {
    const { scatterRad, altitudeShiftRad, covariance, times } = habitOf(seenAt([1, 4, 13], [4, 8, 12]));
    // squares about the mean of 6: 25 + 4 + 49 = 78, of which the errors explain 24 times two thirds
    const scatter2 = (4 * (5 / 3) ** 2 + 78 - 16) / 6;
    expect(scatterRad.altitude / arcminute).toBeCloseTo(Math.sqrt(scatter2), 9);
    // in azimuth four times the squares, three times the errors
    expect((scatterRad.azimuth / arcminute) ** 2).toBeCloseTo((4 * (5 / 3) ** 2 + 312 - 48) / 6, 9);
    const weights = [4, 8, 12].map((variance) => 1 / (variance + scatter2));
    const all = weights[0] + weights[1] + weights[2] + 1 / 25;
    expect(altitudeShiftRad / arcminute).toBeCloseTo((weights[0] + 4 * weights[1] + 13 * weights[2]) / all, 9);
    expect(covariance[0] / arcminute ** 2).toBeCloseTo(1 / all + scatter2, 9);
    expect(times).toBe(3);
  });

  it('and where the errors explain all, only the usual scatter is left, less sure with every time', () => {
    const { scatterRad } = habitOf(seenAt([1, 4, 13], [90, 80, 100]));
    expect((scatterRad.altitude / arcminute) ** 2).toBeCloseTo((4 * (5 / 3) ** 2) / 6, 9);
    expect((habitOf([]).scatterRad.azimuth / arcminute) ** 2).toBeCloseTo((5 / 3) ** 2, 9);
    expect((habitOf(seenAt([7], [2])).scatterRad.altitude / arcminute) ** 2).toBeCloseTo((5 / 3) ** 2, 9);
  });
});

describe.each([47, -33.5].map((latitude) => latitude * degree))(
  'a shift read on a star, at latitude %d',
  (latitudeRad) => {
    const star = starNed(latitudeRad, { hourAngleRad: -50 * degree, declinationRad: 20 * degree });
    const from = { altitudeErrorRad: 14 * arcminute, azimuthErrorRad: -25 * arcminute };
    const shift = { altitude: -9 * arcminute, azimuth: 31 * arcminute };
    const placeAfter = (altitude: number, azimuth: number, start = from) =>
      starAfter(star, latitudeRad, start, {
        altitudeErrorRad: start.altitudeErrorRad + altitude,
        azimuthErrorRad: start.azimuthErrorRad + azimuth,
      });
    /** North and east of the star by altitude and azimuth shift, numerically. */
    const motion = (altitude: number, azimuth: number): Matrix => {
      const step = 1e-5;
      const by = (a: number, z: number): number[] => {
        const [more, less] = [1, -1].map((side) => placeAfter(altitude + side * a, azimuth + side * z));
        return [(more.northRad - less.northRad) / (2 * step), (more.eastRad - less.eastRad) / (2 * step)];
      };
      return new Matrix([by(step, 0), by(0, step)]).transpose();
    };

    it('is the shift that brings it there, and as sure as reading and base allow', () => {
      const place = placeAfter(shift.altitude, shift.azimuth);
      const read = readShift(star, latitudeRad, from, place, 0.8 * arcminute, 0);
      expect(read.altitudeShiftRad / arcminute).toBeCloseTo(-9, 5);
      expect(read.azimuthShiftRad / arcminute).toBeCloseTo(31, 5);
      const back = inverse(motion(0, 0));
      const expected = back.mmul(back.transpose()).mul((0.8 * arcminute) ** 2);
      read.covariance.forEach((value, i) => expect(value / expected.get(i >> 1, i & 1)).toBeCloseTo(1, 3));
      // a base out of level moves the star along right ascension only
      const tilted = readShift(star, latitudeRad, from, place, 0.8 * arcminute, 3 * degree);
      const more = [0, 1, 2, 3].map((i) => tilted.covariance[i] - read.covariance[i]);
      const [byEast, tilt2] = [back.getColumn(1), more[0] / back.get(0, 1) ** 2];
      const moved = { altitudeErrorRad: shift.altitude, azimuthErrorRad: shift.azimuth };
      expect(Math.sqrt(tilt2) / tiltEastRad(star, latitudeRad, moved, 3 * degree)).toBeCloseTo(1, 3);
      more.forEach((value, i) => expect(value / (tilt2 * byEast[i >> 1] * byEast[i & 1])).toBeCloseTo(1, 3));
    });

    it('the star will stand along its way as surely as the axis is known', () => {
      const covariance = [20, -9, -9, 60].map((value) => value * arcminute ** 2) as unknown as Covariance;
      const small = { altitudeErrorRad: 1e-6, azimuthErrorRad: -1e-6 };
      const place = { northRad: 3 * arcminute, eastRad: -4 * arcminute };
      const along = Matrix.rowVector([0.6, -0.8]);
      const step = 1e-5;
      // errors of the axis are what the bolts take away, or add: the star moves by them either way
      const by = (a: number, z: number): number[] => {
        const [more, less] = [1, -1].map((side) => placeAfter(side * a, side * z, small));
        return [(more.northRad - less.northRad) / (2 * step), (more.eastRad - less.eastRad) / (2 * step)];
      };
      const row = along.mmul(new Matrix([by(step, 0), by(0, step)]).transpose());
      const variance = row.mmul(matrixOf(covariance)).mmul(row.transpose()).get(0, 0);
      expect(sigmaPlaceRad(star, latitudeRad, small, covariance, place) / Math.sqrt(variance)).toBeCloseTo(1, 3);
      // the base stands level to a degree, which counts along east alone
      const nothing = [0, 0, 0, 0] as const;
      const byTilt = 0.8 * tiltEastRad(star, latitudeRad, from, degree);
      expect(sigmaPlaceRad(star, latitudeRad, from, nothing, place) / byTilt).toBeCloseTo(1, 9);
      // of a star that stays, half of either direction counts
      const still = sigmaPlaceRad(star, latitudeRad, from, nothing, { northRad: 0, eastRad: 0 });
      expect(still / byTilt).toBeCloseTo(Math.SQRT1_2 / 0.8, 9);
    });

    it('is turned about the axis by a base out of level, as the bolts then turn about other lines', () => {
      const h = Math.abs(latitudeRad);
      const [e, a, t] = [0.7, -1.1, 1e-4];
      const pole = [Math.cos(h), 0, -Math.sin(h)] as const;
      /** Turn about the axis by the bolts that move it by e up and by a sideways, their upright line out of plumb. */
      const turnAbout = (north: number, east: number): number => {
        const down = normalise([north, east, 1]);
        const line = normalise(cross(down, pole));
        const wanted = [-e * Math.sin(h), a * Math.cos(h), -e * Math.cos(h)];
        const ways = [cross(line, pole), cross(down, pole)];
        const turns = solve(new Matrix(ways).transpose(), Matrix.columnVector(wanted), true).to1DArray();
        return turns[0] * dot(line, pole) + turns[1] * dot(down, pole);
      };
      const level = turnAbout(0, 0);
      const byTilt = [turnAbout(t, 0) - level, turnAbout(0, t) - level];
      const shifted = { altitudeErrorRad: e * arcminute, azimuthErrorRad: a * arcminute };
      const expected = Math.hypot(...byTilt) * arcminute * Math.cos(20 * degree);
      expect(tiltEastRad(star, latitudeRad, shifted, t) / expected).toBeCloseTo(1, 3);
    });
  },
);

it('a star that both bolts move alike tells no shift', () => {
  const still = { altitudeErrorRad: 0, azimuthErrorRad: 0 };
  const read = () => readShift([0, 0.6, -0.8], 0, still, { northRad: 1e-4, eastRad: 0 }, arcminute);
  expect(read).toThrow(RangeError);
});
