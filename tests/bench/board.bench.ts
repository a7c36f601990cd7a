import { ImageBoard } from '../../firmware-proto/virtual/imageBoard.ts';
import { createWorld } from '../../firmware-proto/virtual/world.ts';
import { decodeLine } from '../../firmware-proto/wire.ts';

const seconds = 120;
const settleS = 2;
/** The host asks now and then, at every phase of the sampling period. */
const askEveryMs = 337;
const seed = 20261125;

/** The committed image in the scene orchard: how busy the processor is, how exact its sampling instants, how fast all this runs. */
export function run(): Promise<void> {
  const board = new ImageBoard(createWorld('orchard', { seed }), { seed });
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
  const stepsUs = offsetsUs.slice(1).map((offset, index) => offset - offsetsUs[index]);
  const spread = (values: readonly number[]): number => Math.max(...values) - Math.min(...values);
  const stampSteps = stamps.slice(1).map((stamp, index) => ((stamp - stamps[index]) >>> 0) - 10_000);
  const rows = [
    ['samples a second', (stamps.length / seconds).toFixed(2), '100'],
    ['cycles a sample, not counting sleep', (load * 160_000).toFixed(0), 'of 160000'],
    ['load, percent', (load * 100).toFixed(1), 'under 50'],
    ['worst jitter of the instant of reading, us (peak to peak)', spread(offsetsUs).toFixed(1), 'under 100'],
    ['worst step between readings off 10 ms, us', Math.max(...stepsUs.map(Math.abs)).toFixed(1), 'under 100'],
    ['worst step between time stamps off 10 ms, us', Math.max(...stampSteps.map(Math.abs)).toFixed(0), 'under 100'],
    ['emulated seconds a second of processor time', (seconds / spentS).toFixed(1), 'over 1'],
  ];
  console.log(
    `${seconds} s of the committed image at 16 MHz, scene orchard, seed ${seed}, a request every ${askEveryMs} ms; right column: the aim`,
  );
  for (const [name, value, aim] of rows) console.log(`${name.padEnd(60)}${value.padStart(10)}   ${aim}`);
  return Promise.resolve();
}
