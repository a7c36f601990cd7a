import { degree } from '../../calibration/angle.ts';
import { correct } from '../../calibration/correction.ts';
import { directionOf, newFilter, updateFilter } from '../../calibration/live/carrier.ts';
import { LiveEstimator } from '../../calibration/live/estimator.ts';
import { fromNed, polarErrors } from '../../calibration/polarAxis.ts';
import { apply, rotationAbout, scale } from '../../calibration/vector.ts';
import { makeOf, type AccelerometerName } from '../../firmware-proto/virtual/chips/parts.ts';
import { createWorld } from '../../firmware-proto/virtual/world.ts';
import { collect, type PhysicalSample } from '../../firmware-proto/virtual/worldSamples.ts';
import { rehearseFast, type Rehearsal } from '../../host/live/rehearseFast.ts';
import { swingSite } from '../../host/site/swingSite.ts';

const date = new Date('2026-11-25T00:00:00Z');
const hz = 100;
const restS = 30;
const quietFromS = 15;
const turnS = 4;
const seeds = [3, 7, 11, 19, 23, 31];
const turns = { altitude: 1.1, azimuth: -1.4 };

interface Errors {
  altitudeErrorRad: number;
  azimuthErrorRad: number;
}
type Needle = (sample: PhysicalSample) => Errors | undefined;
type Source = (rehearsal: Rehearsal, site: ReturnType<typeof swingSite>) => Needle;

const ours =
  (hasGyro: boolean): Source =>
  ({ swing }, site) => {
    const estimator = new LiveEstimator(swing.axisModel, site);
    return ({ timeS, rateDps, ...sample }) =>
      estimator.offer({ ...sample, boardS: timeS, ...(hasGyro && { rateDps }) });
  };

/** A filter of the package on the corrected readings, its gyro freed of the mean of the first five seconds at rest. */
const theirs =
  (algorithm: 'Madgwick' | 'Mahony', gain: number): Source =>
  ({ swing }, site) => {
    const { correction, axisInBoard } = swing.axisModel;
    const filter = newFilter(algorithm, gain, 1 / hz);
    const bias = [0, 0, 0];
    const toTrue = rotationAbout([0, 0, 1], site.variationRad);
    return ({ timeS, accelG, fieldNt, rateDps = [0, 0, 0] }) => {
      if (timeS <= 5) for (let i = 0; i < 3; i += 1) bias[i] += rateDps[i] / (5 * hz);
      const rate =
        timeS <= 5
          ? ([0, 0, 0] as const)
          : scale([rateDps[0] - bias[0], rateDps[1] - bias[1], rateDps[2] - bias[2]], degree);
      updateFilter(
        filter,
        [rate[0], rate[1], rate[2]],
        correct(correction.accelerometer, accelG),
        correct(correction.magnetometer, fieldNt),
        1 / hz,
      );
      return polarErrors(fromNed(apply(toTrue, directionOf(filter, axisInBoard))), site.pole);
    };
  };

interface Figure {
  lagS: number;
  noiseArcmin: number;
}
type Both = Record<'altitude' | 'azimuth', Figure>;

const rehearsed = new Map<string, Rehearsal>();

function rehearsalOf(
  chips: AccelerometerName,
  options: Parameters<typeof rehearseFast>[1] & { seed: number },
): Rehearsal {
  const key = `${chips} ${options.seed}`;
  const known = rehearsed.get(key) ?? rehearseFast('orchard', options);
  rehearsed.set(key, known);
  return known;
}

/** One bolt after the other, after half a minute at rest: how far the needle is behind, and how it trembles at rest. */
function measure(source: Source, chips: AccelerometerName): Both {
  const behind = { altitude: 0, azimuth: 0 };
  const moved = { altitude: 0, azimuth: 0 };
  const noise = { altitude: 0, azimuth: 0 };
  for (const seed of seeds) {
    const options = { seed, date, chip: makeOf(chips, 'LIS3MDL') };
    const site = swingSite(createWorld('orchard', options).scene.place, date);
    const needle = source(rehearsalOf(chips, options), site);
    const world = createWorld('orchard', options);
    const off = { altitude: 0, azimuth: 0, squares: { altitude: 0, azimuth: 0 }, count: 0 };
    let before = world.truth();
    const startS = world.timeS;
    for (let index = 0; index < (restS + 2 * turnS) * hz; index += 1) {
      const elapsedS = index / hz;
      if (index === restS * hz) world.turnBolt('altitude', turns.altitude);
      if (index === (restS + turnS) * hz) world.turnBolt('azimuth', turns.azimuth);
      const [sample] = collect(world, startS + (index + 1) / hz, hz);
      const shown = needle({ ...sample, timeS: elapsedS + 1 / hz });
      const truth = world.truth();
      if (!shown) continue;
      for (const [name, key] of [
        ['altitude', 'altitudeErrorRad'],
        ['azimuth', 'azimuthErrorRad'],
      ] as const) {
        const error = truth[key] - shown[key];
        const stepRad = truth[key] - before[key];
        if (elapsedS < restS && elapsedS >= quietFromS) {
          off[name] += error;
          off.squares[name] += error ** 2;
          if (name === 'altitude') off.count += 1;
        } else if (elapsedS >= restS) {
          behind[name] += (error - off[name] / off.count) * stepRad * hz;
          moved[name] += (stepRad * hz) ** 2;
        }
      }
      before = truth;
    }
    for (const name of ['altitude', 'azimuth'] as const)
      noise[name] += (off.squares[name] / off.count - (off[name] / off.count) ** 2) / seeds.length;
  }
  const figure = (name: 'altitude' | 'azimuth'): Figure => ({
    lagS: behind[name] / moved[name],
    noiseArcmin: (Math.sqrt(noise[name]) / degree) * 60,
  });
  return { altitude: figure('altitude'), azimuth: figure('azimuth') };
}

/** What a gyro gives the needles while bolts turn, beside the ahrs package on the same readings. */
export function run(): Promise<void> {
  console.log(
    `Scene orchard, seeds ${seeds.join(', ')}, LIS3MDL beside the accelerometer named; ${restS} s at rest, then the altitude bolt by ${turns.altitude} turns and the ` +
      `azimuth bolt by ${turns.azimuth} at 0.4 turns a second. Lag: by how much the needle is behind the truth, over the speed of the axis. ` +
      `Noise: rms about its mean, ${quietFromS} to ${restS} s. The aim: with the gyro at most half the lag at the same noise.`,
  );
  const rows = (['LSM6DSOX', 'MPU-6050'] as const).flatMap((chips) =>
    (
      [
        ['ours, gyro not used', ours(false)],
        ['ours, with the gyro', ours(true)],
        ...([0.05, 0.2, 1] as const).map((gain) => [`ahrs Mahony, kp ${gain}`, theirs('Mahony', gain)] as const),
        ...([0.005, 0.02, 0.1] as const).map(
          (gain) => [`ahrs Madgwick, beta ${gain}`, theirs('Madgwick', gain)] as const,
        ),
      ] as const
    ).map(([filter, source]) => {
      const { altitude, azimuth } = measure(source, chips);
      return {
        chips,
        filter,
        'altitude lag s': altitude.lagS.toFixed(3),
        'azimuth lag s': azimuth.lagS.toFixed(3),
        'altitude noise arcmin': altitude.noiseArcmin.toFixed(2),
        'azimuth noise arcmin': azimuth.noiseArcmin.toFixed(2),
      };
    }),
  );
  console.table(rows);
  return Promise.resolve();
}
