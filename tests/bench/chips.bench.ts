import { arcminute, degree } from '../../calibration/angle.ts';
import { adjustSights } from '../../calibration/sight/adjustSights.ts';
import { microbitBoard, picoBoard } from '../../firmware-proto/virtual/arm/boards.ts';
import { makeOf, type AccelerometerName, type MagnetometerName } from '../../firmware-proto/virtual/chips/parts.ts';
import type { EmulatedBoard, EmulatedProcessor } from '../../firmware-proto/virtual/emulatedBoard.ts';
import { ImageBoard } from '../../firmware-proto/virtual/imageBoard.ts';
import { createWorld, type World } from '../../firmware-proto/virtual/world.ts';
import { decodeLine } from '../../firmware-proto/wire.ts';
import { rehearseFast } from '../../host/live/rehearseFast.ts';
import { chipPairs } from '../chipPairs.ts';
import { drawNight, missRad, takeNight, type BoardFigures } from '../statistics/sightNights.ts';
import { buildImages } from '../unit/firmwareSources.ts';

const seconds = 2;
const settleS = 1;
const seed = 20261129;
const swings = 2;
const nights = 100;
const sights = 6;
const date = new Date('2026-11-25T00:00:00Z');

const spread = (values: readonly number[]): number => Math.max(...values) - Math.min(...values);
const deviation = (values: readonly number[]): number => {
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
  return Math.sqrt(values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / values.length);
};
const rms = (values: readonly number[]): number =>
  Math.sqrt(values.reduce((sum, value) => sum + value ** 2, 0) / values.length);

type Board = EmulatedBoard<EmulatedProcessor, World>;

/** What one board sends and costs, in the scene orchard at rest. */
function stream(board: Board, clockHz: number) {
  const instants: number[] = [];
  const accel: number[][] = [[], [], []];
  const field: number[][] = [[], [], []];
  let [bytes, scaleG, scaleNt, rest] = [0, 0, 0, ''];
  board.accelerometer.onOutputRead = () => instants.push(board.nowS);
  board.onBytes((part) => {
    bytes += part.length;
    const lines = (rest + Buffer.from(part).toString('latin1')).split('\n');
    rest = lines.pop() ?? '';
    for (const text of lines) {
      const line = decodeLine(text);
      if (line.kind === 'hello') {
        [scaleG, scaleNt] = [line.accelerometer.gPerCount, line.magnetometer.ntPerCount];
      } else if (line.kind === 'sample') {
        for (let axis = 0; axis < 3; axis += 1) {
          accel[axis].push(line.accel[axis] * scaleG);
          field[axis].push(line.field[axis] * scaleNt);
        }
      }
    }
  });
  board.write(Buffer.from('hello\n'));
  board.stepTo(settleS);
  instants.length = 0;
  bytes = 0;
  const busyS = board.busyS;
  for (const axis of [...accel, ...field]) axis.length = 0;
  for (let step = 1; step <= seconds * 1000; step += 1) board.stepTo(settleS + step / 1000);
  const load = (board.busyS - busyS) / seconds;
  const noiseG = rms(accel.map(deviation));
  return {
    noiseG,
    cells: {
      cycles: ((load * clockHz) / 100).toFixed(0),
      'load %': (load * 100).toFixed(1),
      'jitter us': spread(instants.map((instant, index) => (instant - instants[0]) * 1e6 - index * 10_000)).toFixed(0),
      'bytes/s': (bytes / seconds).toFixed(0),
      'noise mg': (noiseG * 1000).toFixed(2),
      'noise nT': rms(field.map(deviation)).toFixed(0),
    },
  };
}

/** Errors of a whole swing after a tumble in the hand, in both scenes; then of sights with a board so well known. */
function accuracy(accelerometer: AccelerometerName, magnetometer: MagnetometerName, noiseG: number) {
  const chip = makeOf(accelerometer, magnetometer);
  const altitudeRad: number[] = [];
  const azimuthRad: number[] = [];
  const sensorsRad: number[] = [];
  const distanceRad: number[] = [];
  const boards: BoardFigures[] = [];
  for (const scene of ['orchard', 'woolshed'] as const) {
    for (let one = 1; one <= swings; one += 1) {
      const options = { seed: one, date, chip };
      const { calibration, swing } = rehearseFast(scene, options);
      const world = createWorld(scene, options);
      const truth = world.truth();
      if (!swing.errors) throw new Error('a swing at a site gives errors');
      const off = swing.errors.azimuthErrorRad - truth.azimuthErrorRad;
      const rise = swing.errors.altitudeErrorRad - truth.altitudeErrorRad;
      const eastward = scene === 'orchard' ? 1 : -1;
      altitudeRad.push(rise);
      azimuthRad.push(off);
      distanceRad.push(Math.hypot(rise, off * Math.cos(world.scene.place.latitudeRad)));
      sensorsRad.push(eastward * off - (world.modelled.variationRad - world.field.variationRad));
      boards.push({
        sigmaTiltRad: calibration.sigmaTiltRad,
        sigmaAxisInBoardRad: swing.sigmaAxisInBoardRad,
        gravityRad: noiseG / 10, // a hundred readings in the still second
      });
    }
  }
  return {
    "altitude '": (rms(altitudeRad) / arcminute).toFixed(1),
    'azimuth deg': (rms(sensorsRad) / degree).toFixed(2),
    'with the model deg': (rms(azimuthRad) / degree).toFixed(2),
    "compass '": (rms(distanceRad) / arcminute).toFixed(0),
    "sights '": (sightRung(boards) / arcminute).toFixed(1),
  };
}

/** Rms distance of the axis from the truth after six recommended sights. */
const sightRung = (boards: readonly BoardFigures[]): number =>
  rms(
    Array.from({ length: nights }, (_, index) => {
      const night = drawNight(index + 1, true, boards[index % boards.length]);
      const taken = takeNight(night, sights, 'recommended').map(({ sight }) => sight);
      const { altitudeErrorRad, azimuthErrorRad } = adjustSights(taken, night.site.latitudeRad, night.prior);
      return missRad(night, altitudeErrorRad, azimuthErrorRad);
    }),
  );

interface Processor {
  name: string;
  clockHz: number;
  board: (world: World, chips: { accelerometer: AccelerometerName; magnetometer: MagnetometerName }) => Board;
}

const processors: readonly Processor[] = [
  { name: 'atmega328p', clockHz: 16e6, board: (world, chips) => new ImageBoard(world, { seed, chips }) },
  { name: 'rp2040', clockHz: 48e6, board: (world, chips) => picoBoard(world, 'usb', { seed, chips }) },
  { name: 'nrf52833', clockHz: 64e6, board: (world) => microbitBoard(world, { seed }) },
];

/** What each image takes of flash and memory, where the compilers are here. */
async function sizes(): Promise<Map<string, Record<string, string>>> {
  const built = await buildImages().catch((error: Error) => {
    console.log(`flash and memory are left out: ${error.message}`);
    return [];
  });
  return new Map(
    built.map(({ processor, flash, memory }) => [processor, { flash: String(flash), memory: String(memory) }]),
  );
}

/** Chip by chip and processor by processor. */
export async function run(): Promise<void> {
  console.log(
    `Committed images in the scene orchard at rest, seed ${seed}, ${seconds} s each: cycles a sample without sleep, load, jitter of the instant of reading peak to peak while nobody asks anything, ` +
      `bytes sent, noise of a sample as the host receives it (wander and rounding included), bytes of flash and of memory before the stack that the whole image takes, with every driver in it. ` +
      `Then errors (rms) of a whole swing after a tumble, scenes orchard and woolshed, seeds 1 to ${swings} each: altitude; azimuth by the sensors alone, and with the magnetic model's own error; distance from the pole with it (compass). ` +
      `Then that of ${sights} recommended sights on top of it (${nights} nights, seeds 1 on), with gravity as quiet as measured here and tilt and axis as well known as that tumble and swing say (sights). ` +
      `Noise of the chips: firmware-proto/virtual/chips/parts.ts. A micro:bit has its own chip only.`,
  );
  const taken = await sizes();
  const known = new Map<string, Record<string, string>>();
  const widths = [10, 9, 11, 9, 10, 10, 8, 8, 12, 13, 20, 11, 10];
  const line = (name: string, processor: string, cells: readonly string[]): string =>
    name.padEnd(26) + processor.padEnd(11) + cells.map((cell, at) => cell.padStart(widths[at])).join('');
  for (const [index, { name: processor, clockHz, board }] of processors.entries())
    for (const [accelerometer, magnetometer] of processor === 'nrf52833' ? chipPairs.slice(0, 1) : chipPairs) {
      const name = accelerometer === magnetometer ? accelerometer : `${accelerometer} + ${magnetometer}`;
      const chips = { accelerometer, magnetometer };
      const world = createWorld('orchard', { seed, chip: makeOf(accelerometer, magnetometer) });
      const { noiseG, cells } = stream(board(world, chips), clockHz);
      const reached = known.get(name) ?? accuracy(accelerometer, magnetometer, noiseG);
      const row = { ...cells, ...(taken.get(processor) ?? { flash: '-', memory: '-' }), ...reached };
      if (index === 0 && known.size === 0) console.log(`\n${line('chips', 'processor', Object.keys(row))}`);
      known.set(name, reached);
      console.log(line(name, processor, Object.values(row)));
    }
}
