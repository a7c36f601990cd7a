import { microbitBoard, picoBoard } from '../../firmware-proto/virtual/arm/boards.ts';
import type { VirtualBoard } from '../../firmware-proto/virtual/board.ts';
import { ImageBoard } from '../../firmware-proto/virtual/imageBoard.ts';
import { createWorld } from '../../firmware-proto/virtual/world.ts';
import { decodeLine } from '../../firmware-proto/wire.ts';

const seconds = 20;
const settleS = 2;
/** The host asks now and then, at every phase of the sampling period. */
const askEveryMs = 337;
const seed = 20261125;

interface SteppedBoard extends VirtualBoard {
  readonly nowS: number;
  readonly busyS: number;
  readonly accelerometer: { onOutputRead: () => void };
  stepTo(worldS: number): void;
}

const world = () => createWorld('orchard', { seed });
const boards: readonly { name: string; clockHz: number; create: () => SteppedBoard }[] = [
  { name: 'nano', clockHz: 16e6, create: () => new ImageBoard(world(), { seed }) },
  { name: 'pico', clockHz: 48e6, create: () => picoBoard(world(), 'usb', { seed }) },
  { name: 'microbit', clockHz: 64e6, create: () => microbitBoard(world(), { seed }) },
];

const spread = (values: readonly number[]): number => Math.max(...values) - Math.min(...values);

/** One committed image: how busy its processor is, how exact its sampling instants, how fast all this runs. */
function measure(board: SteppedBoard, clockHz: number): string[] {
  const instants: number[] = [];
  const stamps: number[] = [];
  let rest = '';
  board.accelerometer.onOutputRead = () => instants.push(board.nowS);
  board.onBytes((bytes) => {
    const parts = (rest + Buffer.from(bytes).toString('latin1')).split('\n');
    rest = parts.pop() ?? '';
    for (const part of parts) {
      const line = decodeLine(part);
      if (line.kind === 'sample') stamps.push(line.micros);
    }
  });
  board.write(Buffer.from('hello\n'));
  board.stepTo(settleS);
  instants.length = 0;
  stamps.length = 0;
  const busyS = board.busyS;
  const { user } = process.cpuUsage();
  for (let step = 1; step <= seconds * 1000; step += 1) {
    board.stepTo(settleS + step / 1000);
    if (step % askEveryMs === 0) board.write(Buffer.from('hello\n'));
  }
  const spentS = (process.cpuUsage().user - user) / 1e6;
  const load = (board.busyS - busyS) / seconds;
  const offsetsUs = instants.map((instant, index) => (instant - instants[0]) * 1e6 - index * 10_000);
  const stampSteps = stamps.slice(1).map((stamp, index) => ((stamp - stamps[index]) >>> 0) - 10_000);
  return [
    (stamps.length / seconds).toFixed(2),
    ((load * clockHz) / 100).toFixed(0),
    (load * 100).toFixed(1),
    spread(offsetsUs).toFixed(1),
    Math.max(...stampSteps.map(Math.abs)).toFixed(0),
    (seconds / spentS).toFixed(1),
  ];
}

const rows = [
  ['samples a second', '100'],
  ['cycles a sample, not counting sleep', ''],
  ['load, percent', 'under 50'],
  ['jitter of the instant of reading, us, peak to peak', 'under 100'],
  ['worst step between time stamps off 10 ms, us', 'under 100'],
  ['emulated seconds a second of processor time', 'over 1'],
] as const;

/** Every committed image in the scene orchard. What each takes of flash and memory is printed by firmware-proto/build.mjs. */
export function run(): Promise<void> {
  console.log(
    `${seconds} s of each committed image, scene orchard, seed ${seed}, a request every ${askEveryMs} ms; last column: the aim`,
  );
  console.log(`${''.padEnd(52)}${boards.map(({ name }) => name.padStart(10)).join('')}`);
  const columns = boards.map(({ clockHz, create }) => measure(create(), clockHz));
  for (const [index, [name, aim]] of rows.entries())
    console.log(`${name.padEnd(52)}${columns.map((column) => column[index].padStart(10)).join('')}   ${aim}`);
  return Promise.resolve();
}
