import { describe, expect, it } from 'vitest';
import { encodeHello, encodeSample } from '../../firmware-proto/wire.ts';
import type { BoardSample } from '../../host/link/boardSample.ts';
import { LineIntake } from '../../host/link/lineIntake.ts';
import { SamplesAveraged } from '../../host/link/samplesAveraged.ts';
import { testHello } from '../faults/link-farEnd.ts';

const sampleOf = (sequence: number, hz: number): BoardSample => ({
  arrivalS: 50 + sequence / hz,
  boardS: sequence / hz,
  sequence,
  accelG: [sequence, -2 * sequence, 1],
  fieldNt: [100, 3 * sequence, -7],
  rateDps: [0.5 * sequence, 0, 2],
  temperatureC: 10 + sequence,
});
const taken = (hz: number, sequences: readonly number[]): BoardSample[] => {
  const averaged = new SamplesAveraged(hz);
  return sequences.flatMap((sequence) => averaged.offer(sampleOf(sequence, hz)) ?? []);
};
const upTo = (count: number): number[] => Array.from({ length: count }, (_, i) => i);

describe('samples of a board that is faster than needed', () => {
  it.each([
    [1, 12],
    [100, 12],
    [125, 12],
    [126, 6],
    [200, 6],
    [400, 3],
    [1000, 1],
  ])('of %d a second, 12 become %d', (hz, count) => {
    expect(taken(hz, upTo(12))).toHaveLength(count);
  });

  it('are means in all that they carry, at the middle of their time, numbered by group', () => {
    const [, second] = taken(400, upTo(8));
    expect(second).toEqual({
      arrivalS: 50 + 7 / 400,
      boardS: 5.5 / 400,
      sequence: 1,
      accelG: [5.5, -11, 1],
      fieldNt: [100, 16.5, -7],
      rateDps: [2.75, 0, 2],
      temperatureC: 15.5,
    });
  });

  it('are means of what came where some were lost, and no later than the next group', () => {
    const means = taken(400, [0, 1, 2, 3, 4, 7, 8, 9, 10, 11]);
    expect(means.map(({ sequence, accelG }) => [sequence, accelG[0]])).toEqual([
      [0, 1.5],
      [1, 5.5],
      [2, 9.5],
    ]);
    expect(taken(400, [4, 5, 9]).map(({ accelG }) => accelG[0])).toEqual([4.5]);
  });

  it('have no rate where the board has no gyro', () => {
    const averaged = new SamplesAveraged(250);
    averaged.offer({ ...sampleOf(0, 250), rateDps: undefined });
    expect(averaged.offer({ ...sampleOf(1, 250), rateDps: undefined })).not.toHaveProperty('rateDps');
  });
});

it.each([
  [1, 40, 40],
  [5, 40, 40],
  [100, 40, 40],
  [200, 40, 20],
  [1000, 40, 5],
])('a board that says %d a second and keeps to it is believed: %d samples give %d', (sampleHz, sent, given) => {
  const samples: BoardSample[] = [];
  const intake = new LineIntake({
    onSample: (sample) => samples.push(sample),
    onHello: () => {},
    onReply: () => {},
    onSoundLine: () => {},
  });
  intake.takeText(encodeHello({ ...testHello, sampleHz }), 0);
  for (let n = 0; n < sent; n += 1) {
    const micros = Math.round((n * 1e6) / sampleHz);
    intake.takeText(
      encodeSample({ seq: n, micros, accel: [0, 0, 1000], field: [100, 0, 300], rate: undefined, temperature: 0 }),
      n / sampleHz,
    );
  }
  expect(samples).toHaveLength(given);
  expect(intake.counters).toMatchObject({ samples: sent, implausible: 0, lost: 0 });
});

it('a board that says 100 a second and sends 200 is not believed', () => {
  let samples = 0;
  const intake = new LineIntake({
    onSample: () => (samples += 1),
    onHello: () => {},
    onReply: () => {},
    onSoundLine: () => {},
  });
  intake.takeText(encodeHello({ ...testHello, sampleHz: 100 }), 0);
  for (let n = 0; n < 40; n += 1)
    intake.takeText(
      encodeSample({
        seq: n,
        micros: n * 5000,
        accel: [0, 0, 1000],
        field: [100, 0, 300],
        rate: undefined,
        temperature: 0,
      }),
      n / 200,
    );
  expect(samples).toBeLessThan(25);
  expect(intake.counters.implausible).toBeGreaterThan(10);
});
