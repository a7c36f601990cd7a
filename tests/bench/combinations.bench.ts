import { degree } from '../../calibration/angle.ts';
import {
  accelerometers,
  magnetometers,
  type AccelerometerName,
  type MagnetometerName,
} from '../../firmware-proto/virtual/chips/parts.ts';
import type { ChipNames } from '../../firmware-proto/virtual/chips/models.ts';
import type { SceneName } from '../../firmware-proto/virtual/scenes.ts';
import { runImage, type ImageRun } from '../statistics/liveOfImage.ts';

const seconds = 2;
const limit = 3;

const worst = ({ worstAltitude, worstAzimuth, worstDistance }: ImageRun): number =>
  Math.max(worstAltitude, worstAzimuth, worstDistance);

/** Every accelerometer beside every magnetometer, through the image on the emulated ATmega328P to the needles. */
export function run(): Promise<void> {
  const columns = Object.keys(magnetometers) as MagnetometerName[];
  const rows = Object.keys(accelerometers) as AccelerometerName[];
  console.log(
    `Each of ${rows.length} accelerometers beside each of ${columns.length} magnetometers, registers and all, read by the committed image on the emulated ATmega328P, through the wire to the needles: ` +
      `tumble, swing, then ${seconds} s at rest; scenes orchard and woolshed by turns, seeds 1 on, another one for each pair. Largest departure of altitude, azimuth or distance from the truth ` +
      `in the needle's own sigmas, over all needles after the first second. By chance alone one pair in about ${Math.round(1 / 0.0054)} is beyond ${limit} in altitude or azimuth.\n`,
  );
  console.log(''.padEnd(14) + columns.map((name) => name.padStart(12)).join(''));
  let seed = 0;
  const found: {
    departure: number;
    sigmaDeg: number;
    name: string;
    scene: SceneName;
    chips: ChipNames;
    seed: number;
  }[] = [];
  for (const accelerometer of rows) {
    const cells = columns.map((magnetometer) => {
      seed += 1;
      const chips = { accelerometer, magnetometer };
      const scene = seed % 2 === 1 ? 'orchard' : 'woolshed';
      const one = runImage(scene, seed, seconds, { chips });
      const departure = one.estimates > 0 ? worst(one) : Infinity;
      const sigmaDeg = (one.last?.sigmaDistanceRad ?? NaN) / degree;
      found.push({ departure, sigmaDeg, name: `${accelerometer} + ${magnetometer}, seed ${seed}`, scene, chips, seed });
      return departure.toFixed(2);
    });
    console.log(accelerometer.padEnd(14) + cells.map((cell) => cell.padStart(12)).join(''));
  }
  const beyond = found.filter(({ departure }) => departure > limit);
  const sigmas = found.map(({ sigmaDeg }) => sigmaDeg).sort((a, b) => a - b);
  console.log(
    `\n${found.length - beyond.length} of ${found.length} within ${limit} sigmas; sigma of the distance ${sigmas[0].toFixed(2)} to ${sigmas[sigmas.length - 1].toFixed(2)} degree.`,
  );
  for (const { name, departure, scene, chips, seed: drawn } of beyond) {
    const others = [1, 2, 3, 4, 5].map((one) =>
      worst(runImage(scene, 1000 * one + drawn, seconds, { chips })).toFixed(2),
    );
    console.log(`beyond: ${name}: ${departure.toFixed(2)}; the same pair in five other set-ups: ${others.join(' ')}`);
  }
  return Promise.resolve();
}
