import { degree } from '../../calibration/angle.ts';
import type { AxisModel } from '../../calibration/axisModel.ts';
import { LiveEstimator, type LiveEstimate, type LiveSample } from '../../calibration/live/estimator.ts';
import { axisWithErrors, toNed, truePole } from '../../calibration/polarAxis.ts';
import { add, cross, dot, identity3, scale, tangentsOf, type Vector3 } from '../../calibration/vector.ts';
import { Random } from '../../firmware-proto/virtual/random.ts';

/** A place to test at: latitude, field and what the estimator is told of them. */
export interface TestPlace {
  latitudeDeg: number;
  variationDeg: number;
  dipDeg: number;
  fieldNt: number;
}
export const north: TestPlace = { latitudeDeg: 47, variationDeg: 14, dipDeg: 68, fieldNt: 54_500 };
export const south: TestPlace = { latitudeDeg: -33.5, variationDeg: 11, dipDeg: -64, fieldNt: 57_000 };

const plain = { bias: [0, 0, 0], matrix: identity3 } as const;

/** A perfectly calibrated board whose x axis lies along the polar axis, with the floor that is asked for. */
export const testModel = (place: TestPlace, sigmaAltitudeRad = 3e-4, sigmaMagneticAzimuthRad = 1e-3): AxisModel => ({
  correction: { accelerometer: plain, magnetometer: plain },
  axisInBoard: [1, 0, 0],
  sigmaAltitudeRad,
  sigmaMagneticAzimuthRad,
  fieldNt: place.fieldNt,
  sigmaFieldNt: 100,
  dipRad: place.dipDeg * degree,
  sigmaDipRad: 0.1 * degree,
});

export const testEstimator = (place: TestPlace, model = testModel(place)): LiveEstimator =>
  new LiveEstimator(model, {
    pole: truePole(place.latitudeDeg * degree),
    variationRad: place.variationDeg * degree,
    sigmaVariationRad: 0.38 * degree,
  });

export interface Pose {
  altitudeErrorDeg: number;
  azimuthErrorDeg: number;
  /** Turned about the axis. */
  rollRad?: number;
  /** Added to the Earth's field, north-east-down, nT. */
  ironNt?: Vector3;
}

/** What noiseless chips would read: gravity and field turned into the board, from vectors alone. */
export function readingAt(place: TestPlace, pose: Pose): { accelG: Vector3; fieldNt: Vector3 } {
  const pole = truePole(place.latitudeDeg * degree);
  const axis = toNed(axisWithErrors(pole, pose.altitudeErrorDeg * degree, pose.azimuthErrorDeg * degree));
  const [first, second] = tangentsOf(axis);
  const roll = pose.rollRad ?? 0;
  const y = add(scale(first, Math.cos(roll)), scale(second, Math.sin(roll)));
  const z = cross(axis, y);
  const intoBoard = (v: Vector3): Vector3 => [dot(v, axis), dot(v, y), dot(v, z)];
  const horizontal = place.fieldNt * Math.cos(place.dipDeg * degree);
  const earth: Vector3 = [
    horizontal * Math.cos(place.variationDeg * degree),
    horizontal * Math.sin(place.variationDeg * degree),
    place.fieldNt * Math.sin(place.dipDeg * degree),
  ];
  return { accelG: intoBoard([0, 0, -1]), fieldNt: intoBoard(add(earth, pose.ironNt ?? [0, 0, 0])) };
}

export interface Noise {
  accelG: number;
  fieldNt: number;
  /** Share of the last sample's noise that is in the next one; 0: white. */
  memory?: number;
}
export const typicalNoise: Noise = { accelG: 0.002, fieldNt: 300 };

/** Samples at 100 a second of a board that follows `poseAt`, with noise. */
export function* samplesOf(
  place: TestPlace,
  poseAt: (timeS: number) => Pose,
  seconds: number,
  seed: number,
  noise: Noise = typicalNoise,
): Generator<LiveSample> {
  const random = new Random(seed);
  const memory = noise.memory ?? 0;
  const fresh = Math.sqrt(1 - memory * memory);
  let a: Vector3 = random.normal3(noise.accelG);
  let f: Vector3 = random.normal3(noise.fieldNt);
  for (let i = 0; i < seconds * 100; i += 1) {
    const { accelG, fieldNt } = readingAt(place, poseAt(i / 100));
    a = add(scale(a, memory), random.normal3(noise.accelG * fresh));
    f = add(scale(f, memory), random.normal3(noise.fieldNt * fresh));
    yield { accelG: add(accelG, a), fieldNt: add(fieldNt, f), boardS: i / 100 };
  }
}

/** Runs samples through an estimator; `seen` gets every estimate with its time. */
export function follow(
  estimator: LiveEstimator,
  samples: Iterable<LiveSample>,
  seen: (timeS: number, estimate: LiveEstimate) => void,
): void {
  for (const sample of samples) {
    const estimate = estimator.offer(sample);
    if (estimate) seen(sample.boardS, estimate);
  }
}
