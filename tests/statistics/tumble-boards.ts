import { degree } from '../../calibration/angle.ts';
import {
  apply,
  normalise,
  tangentsOf,
  type Matrix3,
  type Vector3,
  matrix3,
  vector3,
} from '../../calibration/vector.ts';
import { invert3 } from '../../calibration/tumble/matrix.ts';
import { tumbleUnknowns, type SensorNoise, type SiteField, type TumbleSample } from '../../calibration/tumble/types.ts';
import type { Random } from '../../firmware-proto/virtual/random.ts';

/** Noise of one reading: a quiet, a typical and a cheap pair of chips. */
export const chipProfiles: Record<'quiet' | 'typical' | 'cheap', SensorNoise> = {
  // RM3100 at cycle count 200: 15 nT (PNI, Magneto-Inductive Technology Introduction); LSM6DSO: 70 ug/sqrt(Hz) (ST DS12140) at 50 Hz: 0.5 mg.
  quiet: { accelG: 0.0005, fieldNt: 15 },
  // LIS3MDL: 3.2 mgauss (ST DocID024204); LSM6DSO 1.8 mg in normal mode (ST DS12140), rounded up.
  typical: { accelG: 0.002, fieldNt: 320 },
  // MPU-6050: 400 ug/sqrt(Hz) (PS-MPU-6000A-00) at 100 Hz: 4 mg; QMC5883L: 2 mgauss resolution (datasheet 1.0), 10 mgauss taken as its noise (assumed).
  cheap: { accelG: 0.004, fieldNt: 1000 },
};

export interface RandomBoard {
  /** The 22 unknowns of this board, in the tumble's order. */
  truth: Float64Array;
  accelMatrix: Matrix3;
  fieldMatrix: Matrix3;
  site: SiteField;
  /** What the field really is here: the model is off by its own error. */
  fieldNt: number;
  dipRad: number;
}

/** World magnetic model 2025 error model (NOAA/BGS report, section 3.4): strength 138 nT, dip 0.20 degree. */
const modelSigma = { fieldNt: 138, dipRad: 0.2 * degree };

/** A board whose chips are off by what `ChipPrior` says, in a field of middle latitudes of either hemisphere. */
export function randomBoard(random: Random): RandomBoard {
  const hemisphere = random.uniform() < 0.5 ? -1 : 1;
  const site: SiteField = {
    fieldNt: random.between(40_000, 58_000),
    sigmaFieldNt: modelSigma.fieldNt,
    dipRad: hemisphere * random.between(50, 72) * degree,
    sigmaDipRad: modelSigma.dipRad,
  };
  const fieldNt = site.fieldNt;
  const dipRad = site.dipRad + modelSigma.dipRad * random.normal();
  const [xx, xy, xz, yy, yz, zz] = [1, 0, 0, 1, 0, 1].map((value) => value + 0.02 * random.normal());
  const accelMatrix: Matrix3 = [xx, xy, xz, xy, yy, yz, xz, yz, zz];
  const fieldMatrix = matrix3([1, 0, 0, 0, 1, 0, 0, 0, 1].map((value) => value + 0.08 * random.normal()));
  const truth = new Float64Array(tumbleUnknowns.count);
  truth.set(random.normal3(0.03), tumbleUnknowns.accelBias);
  truth.set([xx, xy, xz, yy, yz, zz], tumbleUnknowns.accelMatrix);
  truth.set(random.normal3(0.4 * fieldNt), tumbleUnknowns.fieldBias);
  truth.set(fieldMatrix, tumbleUnknowns.fieldMatrix);
  truth[tumbleUnknowns.dip] = dipRad;
  return { truth, accelMatrix, fieldMatrix, site, fieldNt, dipRad };
}

/** Up and field of a random attitude, board frame; `keep` leaves attitudes out (partial coverage). */
export function randomAttitude(
  random: Random,
  dipRad: number,
  keep: (up: Vector3, field: Vector3) => boolean = () => true,
): { up: Vector3; field: Vector3 } {
  for (;;) {
    const up = random.direction();
    const [first, second] = tangentsOf(up);
    const turn = random.between(0, 2 * Math.PI);
    const field = vector3(
      [0, 1, 2].map(
        (k) => Math.cos(dipRad) * (Math.cos(turn) * first[k] + Math.sin(turn) * second[k]) - Math.sin(dipRad) * up[k],
      ),
    );
    if (keep(up, field)) return { up, field };
  }
}

/** What the chips of `board` read in one attitude, without noise. */
export function exactReading(board: RandomBoard, up: Vector3, field: Vector3): TumbleSample {
  const { truth } = board;
  const a = apply(invert3(board.accelMatrix), up);
  const f = apply(invert3(board.fieldMatrix), field);
  return {
    accelG: vector3([0, 1, 2].map((k) => a[k] + truth[tumbleUnknowns.accelBias + k])),
    fieldNt: vector3([0, 1, 2].map((k) => f[k] * board.fieldNt + truth[tumbleUnknowns.fieldBias + k])),
  };
}

export function noisyReading(random: Random, exact: TumbleSample, noise: SensorNoise): TumbleSample {
  const [a, f] = [random.normal3(noise.accelG), random.normal3(noise.fieldNt)];
  return {
    accelG: vector3(exact.accelG.map((value, k) => value + a[k])),
    fieldNt: vector3(exact.fieldNt.map((value, k) => value + f[k])),
  };
}

export const tumbleOf = (
  random: Random,
  board: RandomBoard,
  noise: SensorNoise,
  count: number,
  keep?: (up: Vector3, field: Vector3) => boolean,
): TumbleSample[] =>
  Array.from({ length: count }, () => {
    const { up, field } = randomAttitude(random, board.dipRad, keep);
    return noisyReading(random, exactReading(board, up, field), noise);
  });

/** Error of the attitude that `up` and `field` (as corrected) give, as a rotation about magnetic north, east and down. */
export function attitudeError(up: Vector3, field: Vector3, trueUp: Vector3, trueField: Vector3): Vector3 {
  const found = axes(up, field);
  const truth = axes(trueUp, trueField);
  const dot = (a: Vector3, b: Vector3): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
  // w such that found_i = true_i + w x true_i, by components along the true axes.
  return [dot(found[1], truth[2]), dot(found[2], truth[0]), dot(found[0], truth[1])];
}

function axes(up: Vector3, field: Vector3): [Vector3, Vector3, Vector3] {
  const down = normalise([-up[0], -up[1], -up[2]]);
  const cross = (a: Vector3, b: Vector3): Vector3 => [
    a[1] * b[2] - a[2] * b[1],
    a[2] * b[0] - a[0] * b[2],
    a[0] * b[1] - a[1] * b[0],
  ];
  const east = normalise(cross(down, field));
  return [cross(east, down), east, down];
}
