import { degree } from '../../calibration/angle.ts';
import { microbitBoard, picoBoard } from '../../firmware-proto/virtual/arm/boards.ts';
import { makeOf, type AccelerometerName, type MagnetometerName } from '../../firmware-proto/virtual/chips/parts.ts';
import type { EmulatedBoard, EmulatedProcessor } from '../../firmware-proto/virtual/emulatedBoard.ts';
import { ImageBoard } from '../../firmware-proto/virtual/imageBoard.ts';
import { createWorld, type World } from '../../firmware-proto/virtual/world.ts';
import { decodeLine } from '../../firmware-proto/wire.ts';
import { rehearseFast } from '../../host/live/rehearseFast.ts';
import { chipPairs } from '../chipPairs.ts';

const seconds = 2;
const settleS = 1;
const seed = 20261129;
const swings = 2;
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
  return {
    cycles: ((load * clockHz) / 100).toFixed(0),
    'load %': (load * 100).toFixed(1),
    'jitter us': spread(instants.map((instant, index) => (instant - instants[0]) * 1e6 - index * 10_000)).toFixed(0),
    'bytes/s': (bytes / seconds).toFixed(0),
    'noise mg': (rms(accel.map(deviation)) * 1000).toFixed(2),
    'noise nT': rms(field.map(deviation)).toFixed(0),
  };
}

/** Errors of a whole swing after a tumble in the hand, in both scenes. */
function accuracy(accelerometer: AccelerometerName, magnetometer: MagnetometerName) {
  const chip = makeOf(accelerometer, magnetometer);
  const altitudeRad: number[] = [];
  const azimuthRad: number[] = [];
  const sensorsRad: number[] = [];
  for (const scene of ['orchard', 'woolshed'] as const) {
    for (let one = 1; one <= swings; one += 1) {
      const options = { seed: one, date, chip };
      const { errors } = rehearseFast(scene, options).swing;
      const world = createWorld(scene, options);
      const truth = world.truth();
      if (!errors) throw new Error('a swing at a site gives errors');
      const off = errors.azimuthErrorRad - truth.azimuthErrorRad;
      const eastward = scene === 'orchard' ? 1 : -1;
      altitudeRad.push(errors.altitudeErrorRad - truth.altitudeErrorRad);
      azimuthRad.push(off);
      sensorsRad.push(eastward * off - (world.modelled.variationRad - world.field.variationRad));
    }
  }
  return {
    "altitude '": ((rms(altitudeRad) / degree) * 60).toFixed(1),
    'azimuth deg': (rms(sensorsRad) / degree).toFixed(2),
    'with the model deg': (rms(azimuthRad) / degree).toFixed(2),
  };
}

/** Each row as soon as it is measured. */
function printRows(title: string, rows: readonly { name: string; figures: () => Record<string, string> }[]): void {
  for (const [index, { name, figures }] of rows.entries()) {
    const row = figures();
    const widths = Object.keys(row).map((key) => Math.max(key.length, 6) + 2);
    const line = (first: string, cells: readonly string[]): string =>
      first.padEnd(32) + cells.map((cell, at) => cell.padStart(widths[at])).join('');
    if (index === 0) console.log(`\n${line(title, Object.keys(row))}`);
    console.log(line(name, Object.values(row)));
  }
}

/** Chip by chip on the ATmega328P, then the same two chips on each processor. */
export function run(): Promise<void> {
  console.log(
    `Committed images in the scene orchard at rest, seed ${seed}, ${seconds} s each: cycles a sample without sleep, load, jitter of the instant of reading peak to peak while nobody asks anything, ` +
      `bytes sent, noise of a sample as the host receives it (wander and rounding included). Then errors (rms) of a whole swing after a tumble, scenes orchard and woolshed, seeds 1 to ${swings} each: ` +
      `altitude; azimuth by the sensors alone; azimuth with the magnetic model's own error. Noise of the chips: firmware-proto/virtual/chips/parts.ts. What each image takes of flash and memory ` +
      `is printed by firmware-proto/build.mjs. Six star sights reach about 3' with any of them: they hang on the eye and on gravity averaged (npm run bench -- sights).`,
  );
  const world = (accelerometer: AccelerometerName, magnetometer: MagnetometerName): World =>
    createWorld('orchard', { seed, chip: makeOf(accelerometer, magnetometer) });
  const rows = chipPairs.map(([accelerometer, magnetometer]) => ({
    name: accelerometer === magnetometer ? accelerometer : `${accelerometer} + ${magnetometer}`,
    figures: () => ({
      ...stream(
        new ImageBoard(world(accelerometer, magnetometer), { seed, chips: { accelerometer, magnetometer } }),
        16e6,
      ),
      ...accuracy(accelerometer, magnetometer),
    }),
  }));
  printRows('chips, on the ATmega328P', rows);
  const chips = { accelerometer: 'LSM6DSOX', magnetometer: 'RM3100' } as const;
  const rich = (): World => world(chips.accelerometer, chips.magnetometer);
  printRows('the same on each processor', [
    { name: 'ATmega328P, LSM6DSOX + RM3100', figures: () => stream(new ImageBoard(rich(), { seed, chips }), 16e6) },
    { name: 'RP2040, LSM6DSOX + RM3100', figures: () => stream(picoBoard(rich(), 'usb', { seed, chips }), 48e6) },
    {
      name: 'nRF52833, LSM303AGR',
      figures: () => stream(microbitBoard(world('LSM303AGR', 'LSM303AGR'), { seed }), 64e6),
    },
  ]);
  return Promise.resolve();
}
