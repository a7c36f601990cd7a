import { describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { decisive } from '../../calibration/gate.ts';
import { largestDerivativeError } from '../derivativeCheck.ts';
import { SwingModel, type HeldDwell } from '../../calibration/swing/model.ts';
import { fitSwing } from '../../calibration/swing/fitSwing.ts';
import { fitReversal } from '../../calibration/swing/fitReversal.ts';
import { arcOf } from '../../calibration/swing/describe.ts';
import { angleBetweenRad, dot } from '../../calibration/vector.ts';
import { Random } from '../../firmware-proto/virtual/random.ts';
import { exactCalibration, exactDwells, type ExactMount } from './swingExact.ts';

const orchardLike: ExactMount = {
  altitudeRad: 43 * degree,
  magneticAzimuthRad: -6 * degree,
  fieldNt: 53_000,
  dipRad: 67 * degree,
  axisInBoard: [0.99, 0.1, Math.sqrt(1 - 0.99 ** 2 - 0.01)],
  ironNt: [12_000, -20_000, 8_000],
};
const woolshedLike: ExactMount = {
  ...orchardLike,
  altitudeRad: 31 * degree,
  magneticAzimuthRad: 174 * degree,
  fieldNt: 57_000,
  dipRad: -64 * degree,
};
const rolls = (from: number, to: number, count: number): number[] =>
  Array.from({ length: count }, (_, i) => (from + ((to - from) * i) / (count - 1)) * degree);

describe('the model of a swing', () => {
  it('has right derivatives, two clippings and both senses', () => {
    const random = new Random(5);
    const dwells = exactDwells(orchardLike, rolls(0, 200, 4));
    const held = dwells.map((dwell, i): HeldDwell => ({ dwell, clipping: i % 2, sense: i < 2 ? 1 : -1 }));
    const factor = Float64Array.from({ length: 22 * 22 }, (_, at) =>
      Math.floor(at / 22) >= at % 22 ? 0.01 * random.normal() * (at >= 9 * 22 && at < 12 * 22 ? 1000 : 1) : 0,
    );
    const model = new SwingModel(
      held,
      exactCalibration(orchardLike),
      [
        [1, 0, 0],
        [0, 0.6, 0.8],
      ],
      factor,
      20_000,
    );
    const unknown = Float64Array.from({ length: model.rollIndex(held.length) }, () => 0.1 * random.normal());
    unknown[0] = 0.7;
    unknown[1] = 0.3;
    unknown[2] = 1;
    expect(largestDerivativeError(model, unknown)).toBeLessThan(1e-6);
  });
});

describe.each([
  ['north', orchardLike, 0],
  ['south', woolshedLike, 180],
] as const)('an exact swing in the %s', (_, mount, poleAzimuthDeg) => {
  const site = {
    pole: { altitudeRad: mount.altitudeRad, azimuthRad: poleAzimuthDeg * degree },
    variationRad: 14 * degree,
    sigmaVariationRad: 0.3 * degree,
    fieldNt: mount.fieldNt,
    sigmaFieldNt: 138,
    dipRad: mount.dipRad,
    sigmaDipRad: 0.2 * degree,
  };

  it.each([
    ['a full turn', 0, 330],
    ['a quarter turn', 40, 130],
  ])('gives axis, altitude, azimuth and turning iron back from %s', (__, from, to) => {
    const swing = fitSwing([exactDwells(mount, rolls(from, to, 8))], exactCalibration(mount), { site });
    expect(angleBetweenRad(swing.axisInBoard, mount.axisInBoard)).toBeLessThan(1e-4);
    expect(swing.axisAltitudeRad).toBeCloseTo(mount.altitudeRad, 4);
    expect(Math.sin(swing.axisMagneticAzimuthRad - mount.magneticAzimuthRad)).toBeCloseTo(0, 3);
    for (const [i, part] of mount.ironNt.entries()) expect(Math.abs(swing.turnAlongIronNt[i] - part)).toBeLessThan(400);
    expect(swing.spreadRad).toBeLessThan(2e-4);
    expect(swing.accepted).toBe(true);
    // variation 4 degrees east: magnetic azimuth + 4 is the true azimuth; east is positive in either hemisphere
    const eastward = poleAzimuthDeg === 0 ? 1 : -1;
    const expected = eastward * Math.sin(mount.magneticAzimuthRad + 14 * degree - poleAzimuthDeg * degree);
    expect(Math.sin(swing.errors!.azimuthErrorRad)).toBeCloseTo(expected, 3);
  });

  it('finds both faces of an end-for-end swing as one axis in the world', () => {
    const reversedMount: ExactMount = {
      ...mount,
      axisInBoard: [-0.98, 0.1, -Math.sqrt(1 - 0.98 ** 2 - 0.01)],
      ironNt: [500, 9000, 0],
    };
    const faces = [exactDwells(mount, rolls(0, 300, 8)), exactDwells(reversedMount, rolls(0, 300, 8))];
    const swing = fitSwing(faces, exactCalibration(mount), { site });
    expect(swing.axisAltitudeRad).toBeCloseTo(mount.altitudeRad, 4);
    expect(angleBetweenRad(swing.axisInBoard, reversedMount.axisInBoard)).toBeLessThan(1e-4);
    expect(swing.accepted).toBe(true);
  });

  it('refuses two faces that are the same clipping: half a turn is expected', () => {
    const face = exactDwells(mount, rolls(0, 300, 8));
    const stop = decisive(fitSwing([face, face], exactCalibration(mount), { site }).gates);
    expect(stop).toMatchObject({
      verdict: 'stop',
      limit: 150,
      unit: 'deg',
      reason: expect.stringMatching(/half a turn/),
    });
    expect(stop?.value).toBeLessThan(1);
  });

  it('takes a constant accelerometer bias along the axis out by reversal of the clip alone', () => {
    const biasG = 0.02;
    // z of the board upward both times: the first tangent to the axis is -z for +x and +z for -x
    const first: ExactMount = { ...mount, ironNt: [0, 0, 0], axisInBoard: [1, 0, 0] };
    const second: ExactMount = { ...first, axisInBoard: [-1, 0, 0] };
    const biased = (of: ExactMount, roll: number): ReturnType<typeof exactDwells> =>
      exactDwells(of, [roll]).map((dwell) => ({
        ...dwell,
        accelG: [dwell.accelG[0] + biasG, dwell.accelG[1], dwell.accelG[2]],
      }));
    const upward = atWhichZIsUp(first);
    const reversed = atWhichZIsUp(second);
    const vague = exactCalibration(first, { accelBiasG: 0.02 });
    const found = fitReversal(biased(first, upward), biased(second, reversed), vague, { site });
    expect(Math.abs(found.axisAltitudeRad - mount.altitudeRad)).toBeLessThan(0.0015);
    // what the seat leaves open stays in both: a degree, in azimuth over cos(altitude), and there the board's turn in it as well
    const [altitudeDeg, azimuthDeg] = [0, 3].map((i) => Math.sqrt(found.covariance[i]) / degree);
    expect(altitudeDeg).toBeGreaterThan(1);
    expect(altitudeDeg).toBeLessThan(1.1);
    expect(azimuthDeg * Math.cos(mount.altitudeRad)).toBeGreaterThan(1.4);
    expect(azimuthDeg * Math.cos(mount.altitudeRad)).toBeLessThan(1.8);
    expect(found.axisModel.sigmaAltitudeRad).toBeGreaterThan(1 * degree);
    expect(found.accepted).toBe(true);
    expect(fitReversal(biased(first, upward), biased(first, upward), vague, { site }).accepted).toBe(false);
  });
});

/** Roll of the exact mount at which the board's z axis points as far up as it can. */
const atWhichZIsUp = (of: ExactMount): number =>
  rolls(0, 359, 360).reduce((best, roll) =>
    exactDwells(of, [roll])[0].accelG[2] > exactDwells(of, [best])[0].accelG[2] ? roll : best,
  );

describe('what a swing refuses', () => {
  const calibration = exactCalibration(orchardLike);
  const stopOf = (dwells: ReturnType<typeof exactDwells>): string | undefined =>
    fitSwing([dwells], calibration).gates.find(({ verdict }) => verdict === 'stop')?.reason;

  it('throws under three dwells', () => {
    expect(() => fitSwing([exactDwells(orchardLike, rolls(0, 90, 2))], calibration)).toThrow(RangeError);
  });
  it('takes a thousand rests as it takes ten, since each roll is known to one rest only', () => {
    const many = fitSwing([exactDwells(orchardLike, rolls(0, 330, 1000))], calibration);
    expect(many.accepted).toBe(true);
    expect(many.axisAltitudeRad).toBeCloseTo(orchardLike.altitudeRad, 5);
  });
  it('stops at too little arc', () => expect(stopOf(exactDwells(orchardLike, rolls(0, 70, 8)))).toMatch(/arc/));
  it('stops at too few places', () => {
    expect(stopOf(exactDwells(orchardLike, [...rolls(0, 1, 4), ...rolls(120, 121, 4)]))).toMatch(/places/);
  });
  it('stops when the tripod moves in between', () => {
    const moved = { ...orchardLike, altitudeRad: orchardLike.altitudeRad + 1 * degree };
    const dwells = [...exactDwells(orchardLike, rolls(0, 150, 5)), ...exactDwells(moved, rolls(180, 330, 5))];
    expect(stopOf(dwells)).toMatch(/tripod or the clip moved/);
  });
  it('stops when iron comes near in between', () => {
    const dwells = exactDwells(orchardLike, rolls(0, 330, 10)).map((dwell, i) =>
      i < 7 ? dwell : { ...dwell, fieldNt: [dwell.fieldNt[0] + 4000, dwell.fieldNt[1], dwell.fieldNt[2]] as const },
    );
    expect(stopOf(dwells)).toMatch(/field about its circle/);
  });
  it('names the end of the axis that the board is said to point to, where no site is known', () => {
    const dwells = exactDwells(orchardLike, rolls(0, 300, 8));
    expect(dot(fitSwing([dwells], calibration).axisInBoard, [1, 0, 0])).toBeGreaterThan(0.9);
    expect(dot(fitSwing([dwells], calibration, { toward: [-1, 0, 0] }).axisInBoard, [1, 0, 0])).toBeLessThan(-0.9);
  });
});

it('an arc leaves the largest gap out, across the wrap too', () => {
  expect(arcOf([350, 10, 40].map((deg) => deg * degree)) / degree).toBeCloseTo(50, 9);
  expect(arcOf([0, 90, 180, 270].map((deg) => deg * degree)) / degree).toBeCloseTo(270, 9);
});
