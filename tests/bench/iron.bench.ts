// Iron on the board itself, as a micro:bit has it: what the tumble leaves of it, and what iron does that moves afterwards.
import { arcminute, degree } from '../../calibration/angle.ts';
import { correct, type AffineCorrection, type SensorCorrection } from '../../calibration/correction.ts';
import { fitSwing } from '../../calibration/swing/fitSwing.ts';
import { fitTumble } from '../../calibration/tumble/fit.ts';
import type { TumbleCalibration, TumbleResult } from '../../calibration/tumble/types.ts';
import {
  add,
  apply,
  cross,
  identity3,
  inverse,
  multiply,
  norm,
  normalise,
  scale,
  subtract,
  type Matrix3,
  type Vector3,
} from '../../calibration/vector.ts';
import { Random } from '../../firmware-proto/virtual/random.ts';
import { createWorld, type VirtualWorld } from '../../firmware-proto/virtual/world.ts';
import { collect, tumbleSamples } from '../../firmware-proto/virtual/worldSamples.ts';
import { dwellsOf, reading, siteOf } from '../statistics/swingSetUps.ts';
import { attitudeError, randomAttitude } from '../statistics/tumble-boards.ts';

const boards = 8;
const attitudes = 100;
const date = new Date('2026-11-25T00:00:00Z');
/** The range of the chip either way; ST DocID027765, table 3: 49.152 gauss. */
const rangeUt = 4915;
const movedNt = 1000;

/** Size of the hard iron, and one sigma of each element by which soft iron changes the field. */
interface Iron {
  hardUt: number;
  softPercent: number;
}

const cases: readonly Iron[] = [
  { hardUt: 0, softPercent: 0 },
  { hardUt: 5, softPercent: 3 },
  { hardUt: 20, softPercent: 3 },
  { hardUt: 60, softPercent: 3 },
  { hardUt: 150, softPercent: 3 },
  { hardUt: 60, softPercent: 10 },
  { hardUt: 300, softPercent: 3 },
];
const usual: Iron = { hardUt: 20, softPercent: 3 };

const rms = (values: readonly number[]): number =>
  Math.sqrt(values.reduce((sum, value) => sum + value ** 2, 0) / values.length);

/** Iron that is fixed to the board: the chip reads matrix * (soft * field + hard) + bias. */
function putOn(world: VirtualWorld, hardNt: Vector3, soft: Matrix3 = identity3): void {
  const { distortion } = world.magnetometer;
  distortion.bias = add(distortion.bias, apply(distortion.matrix, hardNt));
  distortion.matrix = multiply(distortion.matrix, soft);
}

function boardWith(seed: number, { hardUt, softPercent }: Iron): VirtualWorld {
  const world = createWorld(seed % 2 === 0 ? 'orchard' : 'woolshed', { seed, date });
  const draw = new Random(seed ^ 0x69726f6e);
  const [xx, yy, zz] = draw.normal3(softPercent / 100);
  const [xy, xz, yz] = draw.normal3(softPercent / 100);
  putOn(world, scale(draw.direction(), 1000 * hardUt), [1 + xx, xy, xz, xy, 1 + yy, yz, xz, yz, 1 + zz]);
  return world;
}

const tumble = (world: VirtualWorld): TumbleResult =>
  fitTumble(tumbleSamples(world).map(reading), { site: siteOf(world) });

/** Errors of heading and tilt in random attitudes that a correction makes of the chips' exact readings. */
function errorsOf(world: VirtualWorld, found: SensorCorrection, seed: number): { heading: number[]; tilt: number[] } {
  const truth = world.trueCorrection();
  const draw = new Random(seed);
  const raw = ({ bias, matrix }: AffineCorrection, vector: Vector3): Vector3 =>
    add(apply(inverse(matrix), vector), bias);
  const errors = { heading: [] as number[], tilt: [] as number[] };
  for (let one = 0; one < attitudes; one += 1) {
    const { up, field } = randomAttitude(draw, world.field.dipRad);
    const accel = correct(found.accelerometer, raw(truth.accelerometer, up));
    const compass = correct(found.magnetometer, raw(truth.magnetometer, scale(field, world.field.fieldNt)));
    const [north, east, down] = attitudeError(accel, compass, up, field);
    errors.heading.push(down);
    errors.tilt.push(Math.hypot(north, east));
  }
  return errors;
}

/** One row: boards with so much iron, tumbled. */
function tumbled(iron: Iron): string[] {
  const heading: number[] = [];
  const tilt: number[] = [];
  const stated: number[] = [];
  const leftNt: number[] = [];
  const readUt: number[] = [];
  let [refused, cautioned] = [0, 0];
  for (let seed = 1; seed <= boards; seed += 1) {
    const world = boardWith(seed, iron);
    const { accepted, gates, calibration } = tumble(world);
    const truth = world.trueCorrection().magnetometer;
    readUt.push((norm(truth.bias) + world.field.fieldNt) / 1000);
    if (!accepted || !calibration) {
      refused += 1;
      continue;
    }
    if (gates.some(({ reason, verdict }) => verdict === 'caution' && /hard iron|soft-iron/.test(reason)))
      cautioned += 1;
    const errors = errorsOf(world, calibration.correction, seed);
    heading.push(...errors.heading);
    tilt.push(...errors.tilt);
    stated.push(calibration.sigmaHeadingRad);
    leftNt.push(norm(subtract(calibration.correction.magnetometer.bias, truth.bias)));
  }
  const of = (values: readonly number[], digits: number, unit = 1): string =>
    values.length === 0 ? '-' : (rms(values) / unit).toFixed(digits);
  return [
    String(iron.hardUt),
    String(iron.softPercent),
    ((100 * Math.max(...readUt)) / rangeUt).toFixed(0),
    of(leftNt, 0),
    of(heading, 2, degree),
    of(stated, 2, degree),
    of(tilt, 1, arcminute),
    String(cautioned),
    String(refused),
  ];
}

interface Swung {
  world: VirtualWorld;
  calibration: TumbleCalibration;
  azimuthRad: number;
}

/** A tumble, then iron that comes to lie on the board (given the polar axis in it), then a swing. */
function swung(seed: number, iron: (axis: Vector3) => Vector3, known?: TumbleCalibration): Swung | undefined {
  const world = boardWith(seed, usual);
  const samples = tumbleSamples(world).map(reading);
  const site = siteOf(world);
  const calibration = known ?? fitTumble(samples, { site }).calibration;
  world.advanceTo(world.hands.clip());
  putOn(world, iron(world.axisInBoard()));
  const swing = calibration && fitSwing([dwellsOf(collect(world, world.hands.swing(), 50))], calibration, { site });
  return swing?.errors && calibration && { world, calibration, azimuthRad: swing.errors.azimuthErrorRad };
}

/** What iron of one microtesla does that comes to lie otherwise on the board after its tumble. */
function moved(): void {
  const level: number[] = [];
  const heading: number[] = [];
  const across: number[] = [];
  const along: number[] = [];
  for (let seed = 1; seed <= boards; seed += 1) {
    const direction = new Random(seed ^ 0x6d6f7665).direction();
    const plain = swung(seed, () => [0, 0, 0]);
    const sideways = swung(seed, (axis) => scale(normalise(cross(axis, direction)), movedNt), plain?.calibration);
    const lengthways = swung(seed, (axis) => scale(axis, movedNt), plain?.calibration);
    if (!plain || !sideways || !lengthways) throw new Error(`seed ${seed}: no swing`);
    across.push(sideways.azimuthRad - plain.azimuthRad);
    along.push(lengthways.azimuthRad - plain.azimuthRad);
    const { correction } = plain.calibration;
    const before = errorsOf(plain.world, correction, seed).heading;
    const after = errorsOf(sideways.world, correction, seed).heading;
    heading.push(...after.map((value, index) => value - before[index]));
    level.push(plain.world.field.fieldNt * Math.cos(plain.world.field.dipRad));
  }
  const deg = (valueRad: number): string => (valueRad / degree).toFixed(2);
  const row = (what: string, valueRad: number): void => console.log(`${what.padEnd(66)}${deg(valueRad).padStart(6)}`);
  console.log(
    `\nIron that adds 1 microtesla in the board's frame after the tumble (${boards} boards): change, degrees`,
  );
  row('heading, at most, by arithmetic (1 over the level part of the field)', movedNt / Math.min(...level));
  row(
    'heading, rms of all attitudes, by arithmetic (over root 3)',
    rms(level.map((nt) => movedNt / nt)) / Math.sqrt(3),
  );
  row('heading, rms of all attitudes, by these boards', rms(heading));
  row('azimuth by a swing afterwards, iron across the axis, rms', rms(across));
  row('azimuth by a swing afterwards, iron along the axis, rms', rms(along));
}

export async function run(): Promise<void> {
  console.log(
    `Boards with an LSM303AGR, as a micro:bit has it, and iron fixed to them; ${boards} of each, seeds 1 on, in the orchard and the woolshed by turns, tumbled by a hand (600 samples). ` +
      'Hard iron by size, soft iron as one sigma of each element. Then: most of the range that was read; rms of what is left of the offset, ' +
      'of the true heading error and of the stated one, of the tilt error; boards cautioned for their iron, and refused.\n',
  );
  const names = [
    'hard uT',
    'soft %',
    'range %',
    'left nT',
    'heading deg',
    'stated deg',
    "tilt '",
    'cautioned',
    'refused',
  ];
  const line = (cells: readonly string[]): string =>
    cells.map((cell, index) => cell.padStart(names[index].length + 2)).join('');
  console.log(line(names));
  for (const iron of cases) console.log(line(tumbled(iron)));
  moved();
}
