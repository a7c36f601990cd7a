import { degree } from '../../calibration/angle.ts';
import { chanceAbove } from '../../calibration/chance.ts';
import { clashOf, type BoardChipNames } from '../../firmware-proto/virtual/chips/models.ts';
import { readOf, withPackages } from '../../firmware-proto/virtual/chips/onTheBus.ts';
import {
  accelerometers,
  magnetometers,
  type AccelerometerName,
  type MagnetometerName,
} from '../../firmware-proto/virtual/chips/parts.ts';
import type { SceneName } from '../../firmware-proto/virtual/scenes.ts';
import { runImage, type ImageRun } from '../statistics/liveOfImage.ts';

const seconds = 2;
const limit = 3;
const furtherSeeds = [1000, 2000];
const countedAt = [1, 2, 2.6, 3];

const rows = Object.keys(accelerometers) as AccelerometerName[];
const columns = Object.keys(magnetometers) as MagnetometerName[];

const worst = ({ estimates, worstAltitude, worstAzimuth, worstDistance }: ImageRun): number =>
  estimates > 0 ? Math.max(worstAltitude, worstAzimuth, worstDistance) : Infinity;

interface Tried {
  name: string;
  chips: BoardChipNames;
  scene: SceneName;
  seed: number;
  run: ImageRun;
}

const named = ({ accelerometer, magnetometer }: BoardChipNames): string => `${accelerometer} + ${magnetometer}`;
const hex = (address: number): string => address.toString(16).toUpperCase().padStart(2, '0');

/** Every accelerometer beside every magnetometer, through the image on the emulated ATmega328P to the needles. */
export function run(): Promise<void> {
  console.log(
    `Modules with each of ${rows.length} accelerometers and each of ${columns.length} magnetometers on one bus, with all that is in their packages, registers and all, read by the committed image on the emulated ATmega328P, ` +
      `through the wire to the needles: tumble, swing, then ${seconds} s at rest; scenes orchard and woolshed by turns, seeds 1 on, another one for each pair. Largest departure of altitude, azimuth or distance from the truth ` +
      `in the needle's own sigmas, over all needles after the first second. "at 1E": both answer to that address and cannot share a bus. "*": the board reads other chips of these modules, as told below; the world measures by those.\n`,
  );
  console.log(''.padEnd(14) + columns.map((name) => name.padStart(12)).join(''));
  let seed = 0;
  const tried: Tried[] = [];
  const others: string[] = [];
  const clashes: string[] = [];
  for (const accelerometer of rows) {
    const cells = columns.map((magnetometer) => {
      seed += 1;
      const meant = { accelerometer, magnetometer };
      const bus = withPackages(meant);
      const clash = clashOf(bus);
      if (clash !== undefined) {
        clashes.push(named(meant));
        return `at ${hex(clash)}`;
      }
      const read = readOf(bus);
      const isOther = named(read) !== named(meant);
      if (isOther) others.push(`${named(meant)}: ${named(read)}`);
      const chips = { ...read, bus };
      const scene = seed % 2 === 1 ? 'orchard' : 'woolshed';
      const one = runImage(scene, seed, seconds, { chips });
      tried.push({ name: named(meant), chips, scene, seed, run: one });
      return worst(one).toFixed(2) + (isOther ? '*' : ' ');
    });
    console.log(accelerometer.padEnd(14) + cells.map((cell) => cell.padStart(12)).join(''));
  }
  console.log(
    `\n${clashes.length} of ${rows.length * columns.length} cannot share a bus: ${clashes.join('; ')}.` +
      `\n${others.length} read other chips of their modules (asked for: read): ${others.join('; ')}.`,
  );
  judge(tried);
  return Promise.resolve();
}

/** How many may be beyond by chance, how many were, and what further draws of these say. */
function judge(tried: readonly Tried[]): void {
  const misread = tried.filter(({ chips, run }) => run.named !== named(chips));
  const sigmas = tried.map(({ run }) => (run.last?.sigmaDistanceRad ?? NaN) / degree).sort((a, b) => a - b);
  const beyond = tried.filter(({ run }) => worst(run) > limit);
  console.log(
    `\nNamed otherwise in the hello than told here: ${misread.length}${misread.map(({ name, run }) => `; ${name}: ${run.named ?? 'no hello'}`).join('')}.` +
      `\n${tried.length - beyond.length} of ${tried.length} within ${limit} sigmas; sigma of the distance ${sigmas[0].toFixed(2)} to ${sigmas[sigmas.length - 1].toFixed(2)} degree.` +
      `\nThe last needle of each, altitude and azimuth (${2 * tried.length} in all), beyond so many sigmas, found and expected of a normal distribution:`,
  );
  for (const at of countedAt) {
    const found = tried.reduce((sum, { run }) => sum + run.lastInSigmas.filter((one) => one > at).length, 0);
    console.log(`  ${at}: ${found} found, ${(4 * tried.length * chanceAbove(at)).toFixed(1)} expected`);
  }
  let failed = misread.length;
  for (const { name, scene, chips, seed, run } of beyond) {
    const again = furtherSeeds.map((more) => worst(runImage(scene, more + seed, seconds, { chips })));
    const holds = again.every((one) => one <= limit);
    if (!holds) failed += 1;
    console.log(
      `beyond ${limit}: ${name}, seed ${seed}: ${worst(run).toFixed(2)}; drawn again with two further seeds: ` +
        `${again.map((one) => one.toFixed(2)).join(' ')}: ${holds ? 'chance' : 'NOT by chance'}`,
    );
  }
  console.log(
    `\n${failed === 0 ? 'Every' : `All but ${failed}`} combination that can share a bus comes to the needles.`,
  );
  if (failed > 0) process.exitCode = 1;
}
