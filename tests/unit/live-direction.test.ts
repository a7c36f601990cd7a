// A reading turned level, and the direction that is turned after it: against exact rotations and angles.
import { describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { emptyReading, level, type LevelledReading } from '../../calibration/live/attitude.ts';
import { AxisDirection } from '../../calibration/live/axisDirection.ts';
import { sigmaDistanceRad } from '../../calibration/live/distance.ts';
import { polarErrors, truePole, type PolarErrors } from '../../calibration/polarAxis.ts';
import {
  add,
  apply,
  inverse,
  multiply,
  normalise,
  rotationAbout,
  transpose,
  type Matrix3,
  type Vector3,
} from '../../calibration/vector.ts';
import { Random } from '../../firmware-proto/virtual/random.ts';

/** Corrections in which no two terms are alike. */
const accelerometer = {
  bias: [0.021, -0.034, 0.013] as Vector3,
  matrix: [1.02, 0.013, -0.021, 0.017, 0.97, 0.031, -0.011, 0.027, 1.05] as Matrix3,
};
const magnetometer = {
  bias: [3100, -2300, 1700] as Vector3,
  matrix: [0.93, 0.051, -0.023, -0.044, 1.08, 0.037, 0.029, -0.061, 1.01] as Matrix3,
};
const rawOf = ({ bias, matrix }: typeof accelerometer, corrected: Vector3): Vector3 =>
  add(apply(inverse(matrix), corrected), bias);

const asRead = { bias: [0, 0, 0], matrix: [1, 0, 0, 0, 1, 0, 0, 0, 1] } as const;
const plain = { accelerometer: asRead, magnetometer: asRead };

/** Board to magnetic north-east-down. */
const attitudes = [0.4, 1.9, 3.3, 5.1].map((angle, i) =>
  multiply(rotationAbout(normalise([1, -2, 0.5]), angle), rotationAbout(normalise([0.3, 1, 2]), 0.7 + i)),
);
const direction = normalise([0.8, -0.35, 0.48]);

describe('a reading turned level', () => {
  it.each(attitudes)('gives the direction, field and vertical of attitude %#, through full corrections', (...m) => {
    const toWorld = m as unknown as Matrix3;
    const gravityG = 0.98;
    const earth: Vector3 = [21_000, 0, 43_000];
    const intoBoard = (v: Vector3): Vector3 => apply(transpose(toWorld), v);
    const out = emptyReading();
    const accel = rawOf(accelerometer, intoBoard([0, 0, -gravityG]));
    const field = rawOf(magnetometer, intoBoard(earth));
    expect(level(accel, field, { accelerometer, magnetometer }, direction, out)).toBe(true);
    const [north, east, down] = apply(toWorld, direction);
    const across = Math.hypot(north, east);
    const up = intoBoard([0, 0, -1]);
    const expected: LevelledReading = {
      north: north / across,
      east: east / across,
      sinAltitude: -down,
      cosAltitude: across,
      gravityG,
      fieldNt: Math.hypot(21_000, 43_000),
      horizontalNt: 21_000,
      dipRad: Math.atan(43 / 21),
      upX: up[0],
      upY: up[1],
      upZ: up[2],
    };
    for (const key of Object.keys(expected) as (keyof LevelledReading)[])
      expect(out[key] / expected[key], key).toBeCloseTo(1, 9);
  });

  it.each([
    ['gravity is missing', [0, 0, 0], [20_000, 0, 40_000]],
    ['the field is missing', [0, 0, 1], [0, 0, 0]],
    ['the field is plumb', [0, 0, 1], [0, 0, -40_000]],
    ['gravity is not finite', [0, 0, Infinity], [20_000, 0, 40_000]],
    ['the field is not finite', [0, 0, 1], [Infinity, 0, 40_000]],
    ['a component is no number', [0, NaN, 1], [20_000, 0, 40_000]],
    ['gravity is hardly any', [0, 0, 0.9e-6], [20_000, 0, 40_000]],
    ['the field is plumb but for a hair', [0, 0, 1], [0, 0.9e-3, 40_000]],
    ['gravity is beyond numbers', [0, 0, 1e200], [20_000, 0, 0]],
    ['the field is beyond numbers', [0, 0, 1], [1e200, 0, 0]],
  ] as const)('is refused where %s', (_, accel, field) => {
    expect(level(accel, field, plain, [1, 0, 0], emptyReading())).toBe(false);
  });

  it('is taken with little of both, and straight up with a cosine above zero', () => {
    expect(level([0, 0, 1.1e-6], [0, 1.1e-3, 40_000], plain, [1, 0, 0], emptyReading())).toBe(true);
    const upright = emptyReading();
    expect(Object.values(upright)).toEqual(Array(11).fill(0));
    expect(level([0, 0, 1], [20_000, 0, -40_000], plain, [0, 0, 1], upright)).toBe(true);
    expect(upright).toMatchObject({ sinAltitude: 1, cosAltitude: 1e-9 });
  });
});

const at = (altitudeDeg: number, azimuthDeg: number): LevelledReading => ({
  ...emptyReading(),
  north: Math.cos(azimuthDeg * degree),
  east: Math.sin(azimuthDeg * degree),
  sinAltitude: Math.sin(altitudeDeg * degree),
  cosAltitude: Math.cos(altitudeDeg * degree),
});

describe.each([
  ['north', 47],
  ['south', -33.5],
])('the direction of the axis, in the %s', (_, latitudeDeg) => {
  const pole = truePole(latitudeDeg * degree);
  const variationRad = -13 * degree;
  const direct = (reading: LevelledReading): AxisDirection => {
    const axis = new AxisDirection({ pole, variationRad, sigmaVariationRad: 0.01 });
    axis.set(reading);
    return axis;
  };
  const errorsOf = (axis: AxisDirection): PolarErrors => {
    const errors = { altitudeErrorRad: NaN, azimuthErrorRad: NaN, distanceRad: NaN };
    axis.errorsInto(errors);
    return errors;
  };

  it.each([
    [44, 10],
    [36, 171],
    [52, -160],
    [12, 95],
  ])('has the errors of its true direction: %d degrees up, magnetic azimuth %d', (altitudeDeg, azimuthDeg) => {
    const errors = errorsOf(direct(at(altitudeDeg, azimuthDeg)));
    const expected = polarErrors({ altitudeRad: altitudeDeg * degree, azimuthRad: (azimuthDeg - 13) * degree }, pole);
    expect(errors.altitudeErrorRad).toBeCloseTo(expected.altitudeErrorRad, 12);
    expect(errors.azimuthErrorRad).toBeCloseTo(expected.azimuthErrorRad, 12);
    expect(errors.distanceRad).toBeCloseTo(expected.distanceRad, 12);
  });

  it('raised and swung by tangents, it turns by these angles and by nothing else', () => {
    const axis = direct(at(41, 28));
    axis.raise(Math.tan(3 * degree));
    axis.swingEast(Math.tan(-5 * degree));
    const [turned, expected] = [axis, direct(at(44, 23))].map(errorsOf);
    expect(turned.altitudeErrorRad).toBeCloseTo(expected.altitudeErrorRad, 12);
    expect(turned.azimuthErrorRad).toBeCloseTo(expected.azimuthErrorRad, 12);
    expect(turned.distanceRad).toBeCloseTo(expected.distanceRad, 12);
    expect(axis.cosAltitude).toBeCloseTo(Math.cos(44 * degree), 12);
  });

  it('is raised to the zenith, not over it', () => {
    const axis = direct(at(80, 28));
    axis.raise(Math.tan(40 * degree));
    expect(errorsOf(axis).altitudeErrorRad + pole.altitudeRad).toBeCloseTo(Math.PI / 2, 6);
  });

  it('tells how far a reading lies above it and east of it', () => {
    const axis = direct(at(41, 28));
    expect(axis.sinUpTo(at(52, 28))).toBeCloseTo(Math.sin(11 * degree), 12);
    expect(axis.sinUpTo(at(36, 28))).toBeCloseTo(-Math.sin(5 * degree), 12);
    expect(axis.sinEastTo(at(41, 49))).toBeCloseTo(Math.sin(21 * degree), 12);
    expect(axis.sinEastTo(at(41, -12))).toBeCloseTo(-Math.sin(40 * degree), 12);
    expect([150, -100, 119, -63].map((azimuthDeg) => axis.sinEastTo(at(41, azimuthDeg)))).toEqual([1, -1, 1, -1]);
  });
});

describe('sigma of the distance', () => {
  it('is the sigma along the line to the pole where that is far, and the root of the trace at the pole', () => {
    expect(sigmaDistanceRad(0.3, 0.4, 1e-5, 2e-5)).toBeCloseTo(Math.hypot(0.6e-5, 1.6e-5), 12);
    expect(sigmaDistanceRad(0, 0, 0.003, 0.004)).toBeCloseTo(0.005, 12);
    expect(sigmaDistanceRad(1e-9, 2e-9, 0.003, 0.004)).toBeCloseTo(0.005, 9);
  });

  it('in between, the root mean square of the error of the distance lies within it, and it is no wider by a half', () => {
    const random = new Random(8);
    const [up, across, sigmaUp, sigmaAcross] = [0.004, -0.007, 0.002, 0.006];
    let squares = 0;
    for (let i = 0; i < 4000; i += 1) {
      const seen = Math.hypot(up + sigmaUp * random.normal(), across + sigmaAcross * random.normal());
      squares += (seen - Math.hypot(up, across)) ** 2;
    }
    const ratio = sigmaDistanceRad(up, across, sigmaUp, sigmaAcross) / Math.sqrt(squares / 4000);
    expect(ratio).toBeGreaterThan(1);
    expect(ratio).toBeLessThan(1.5);
  });
});
