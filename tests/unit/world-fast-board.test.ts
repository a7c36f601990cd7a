import { describe, expect, it } from 'vitest';
import { FastBoard } from '../../firmware-proto/virtual/fastBoard.ts';
import { createWorld } from '../../firmware-proto/virtual/world.ts';
import { decodeLine, type Decoded, type WireSample } from '../../firmware-proto/wire.ts';

function listenTo(board: FastBoard): () => Decoded[] {
  let text = '';
  board.onBytes((bytes) => (text += Buffer.from(bytes).toString('latin1')));
  return () => {
    const lines = text.split('\r\n');
    text = lines.pop() ?? '';
    return lines.map((line) => decodeLine(line));
  };
}
const samplesIn = (lines: Decoded[]) => lines.filter((line): line is WireSample => line.kind === 'sample');
const date = new Date('2026-05-01');

describe.each([
  ['quiet', 10, true],
  ['typical', 100, false],
  ['cheap', 100, true],
] as const)('a fast %s board', (chip, hz, hasGyro) => {
  it('says hello once a second until it is spoken to, and sends what its world holds', () => {
    const board = new FastBoard(createWorld('orchard', { seed: 3, chip, date }));
    const twin = createWorld('orchard', { seed: 3, chip, date });
    const heard = listenTo(board);
    board.stepTo(2.951);
    const lines = heard();
    expect(lines.filter(({ kind }) => kind === 'hello').length).toBe(3);
    const samples = samplesIn(lines);
    expect(samples.length).toBe(Math.floor(2.951 * hz));
    expect(lines.length).toBe(samples.length + 3);
    let worldS = 0;
    samples.forEach((sample, i) => {
      worldS += 1 / hz;
      const { accel, field, rate, temperature } = twin.countsAt(worldS);
      expect(sample).toMatchObject({ seq: i, accel, field, temperature });
      expect(sample.rate).toEqual(hasGyro ? rate : undefined);
      expect(sample.micros).toBe(Math.round(worldS * 1e6));
    });
    board.write(Buffer.from('hel'));
    board.write(Buffer.from('lo\r\n'));
    expect(heard()).toEqual([{ kind: 'hello', ...board.hello, gyro: board.hello.gyro }]);
    board.stepTo(6);
    expect(heard().every(({ kind }) => kind === 'sample')).toBe(true);
  });
});

describe('requests to a fast board', () => {
  const board = new FastBoard(createWorld('woolshed', { seed: 3 }));
  const heard = listenTo(board);

  it('change the rate, or are refused', () => {
    board.write(Buffer.from('rate 20\n'));
    expect(heard()).toEqual([{ kind: 'acknowledged', request: 'rate' }]);
    board.stepTo(1.001);
    const first = samplesIn(heard());
    expect(first.length).toBe(20);
    board.write(Buffer.from('rate 33\nrate\nselftest\n'));
    expect(heard()).toEqual([
      { kind: 'refused', request: 'rate', reason: 'range' },
      { kind: 'refused', request: 'selftest', reason: 'no-chips' },
    ]);
  });

  it('get no answer when they are not known, and cost no memory without an end of line', () => {
    board.write(Buffer.from('AT+GMM\nhello there\n'));
    for (let i = 0; i < 1000; i += 1) board.write(new Uint8Array(1000).fill(65));
    expect((board as unknown as { heard: string }).heard.length).toBeLessThanOrEqual(32);
    board.write(Buffer.from('\nhello\n'));
    expect(heard().map(({ kind }) => kind)).toEqual(['hello']);
  });
});

describe('a fast board in real time', () => {
  it('keeps pace, and stops for good when closed', async () => {
    const board = new FastBoard(createWorld('orchard', { seed: 3 }));
    const heard = listenTo(board);
    const startedMs = performance.now();
    board.start();
    await new Promise((resolve) => setTimeout(resolve, 700));
    await board.close();
    const stoppedS = board.world.timeS;
    const count = samplesIn(heard()).length;
    // No faster than the clock, and no more than half a second behind it however busy the machine is.
    const elapsedS = (performance.now() - startedMs) / 1000;
    expect(count).toBeLessThanOrEqual(Math.ceil(100 * elapsedS));
    expect(count).toBeGreaterThan(20);
    await new Promise((resolve) => setTimeout(resolve, 60));
    expect(heard()).toEqual([]);
    expect(board.world.timeS).toBe(stoppedS);
  });
});
