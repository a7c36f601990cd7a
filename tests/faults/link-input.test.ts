import { describe, expect, test } from 'vitest';
import { encodeEvent, encodeHello, sealLine, type Hello } from '../../firmware-proto/wire.ts';
import { LineIntake, type BoardReply } from '../../host/link/lineIntake.ts';
import { noCounts, type LinkCounters } from '../../host/link/counters.ts';
import type { BoardSample } from '../../host/link/boardSample.ts';
import { testHello, testSample } from './link-farEnd.ts';

/** An intake that has had its hello and samples 0 to 9, and what it gave out since. */
function running(hello: Hello = testHello) {
  const samples: BoardSample[] = [];
  const replies: BoardReply[] = [];
  const intake = new LineIntake({
    onSample: (sample) => samples.push(sample),
    onHello: () => {},
    onReply: (reply) => replies.push(reply),
    onSoundLine: () => {},
  });
  intake.takeText(encodeHello(hello), 0);
  for (let n = 0; n < 10; n += 1) intake.takeText(testSample(n), n / 100);
  samples.length = 0;
  Object.assign(intake.counters, noCounts());
  return { intake, samples, replies };
}

const good = testSample(10).trimEnd();

const cases: { what: string; lines: string[]; counts: Partial<LinkCounters>; samples?: number }[] = [
  { what: 'random bytes', lines: ['\x00\x91\xfe\x7f\x02', '\xff\xff\xff'], counts: { noise: 2 } },
  { what: 'a line without its tail', lines: [good.slice(0, -3)], counts: { torn: 1 } },
  { what: 'a line without its head', lines: [good.slice(4)], counts: { torn: 1 } },
  { what: 'an altered digit', lines: [good.replace('1018', '1818')], counts: { badCrc: 1 } },
  { what: 'two lines run together', lines: [good + good], counts: { badCrc: 1 } },
  { what: 'a right CRC over wrong fields', lines: [sealLine('S 10 100000 1 2 3')], counts: { malformed: 1 } },
  { what: 'a duplicate', lines: [testSample(10), testSample(10)], counts: { samples: 1, repeated: 1 }, samples: 1 },
  {
    what: 'two lines in the wrong order',
    lines: [testSample(11), testSample(10), testSample(12)],
    counts: { samples: 2, lost: 1, reordered: 1 },
    samples: 2,
  },
  { what: 'a gap', lines: [testSample(15)], counts: { samples: 1, lost: 5 }, samples: 1 },
  { what: 'an over-long line', lines: ['S '.padEnd(300, '1')], counts: { overLong: 1 } },
  { what: 'another instrument', lines: ['$GPGGA,123519,4807.038,N*47', 'AT', ''], counts: { foreign: 3 } },
  { what: 'a kind from a newer board', lines: [sealLine('Q 7 7 7')], counts: { unknown: 1 } },
  { what: 'an event of the board', lines: [encodeEvent({ code: 'bus-stuck', count: 3 })], counts: { boardEvents: 1 } },
  {
    what: 'a restart in mid-stream',
    lines: [testSample(0, { seq: 0, micros: 1_500_000 }), testSample(1, { seq: 1, micros: 1_510_000 })],
    counts: { samples: 1, reboots: 1 },
    samples: 1,
  },
  {
    what: 'a sample that contradicts the rest',
    lines: [testSample(0, { seq: 30000, micros: 100_000 }), testSample(10)],
    counts: { samples: 1, implausible: 1 },
    samples: 1,
  },
];

describe('bad input has a name each and moves no needle', () => {
  test.each(cases)('$what', ({ lines, counts, samples = 0 }) => {
    const { intake, samples: given } = running();
    for (const [at, line] of lines.entries()) intake.takeText(line, (10 + at) / 100);
    expect(intake.counters).toEqual({ ...noCounts(), ...counts });
    expect(given).toHaveLength(samples);
    // The stream goes on afterwards.
    const before = given.length;
    for (let n = 20; n < 23; n += 1) intake.takeText(testSample(n), n / 100);
    expect(given.length - before).toBeGreaterThan(0);
  });

  test('another protocol version: named, and its samples are not believed', () => {
    const { intake, samples } = running();
    intake.takeText(sealLine('H proto=2 shape=round'), 0.1);
    expect(intake.otherProtocol).toBe(2);
    intake.takeText(testSample(10), 0.1);
    expect(samples).toEqual([]);
    expect(intake.counters).toMatchObject({ otherProtocol: 1, samples: 0, beforeHello: 1 });
  });

  test('a left-handed orientation is refused in words, and its samples are not believed', () => {
    const samples: BoardSample[] = [];
    const intake = new LineIntake({
      onSample: (sample) => samples.push(sample),
      onHello: () => {},
      onReply: () => {},
      onSoundLine: () => {},
    });
    const sound = encodeHello(testHello).replace(/ \*.*\r\n/, '');
    intake.takeText(testSample(0), 0);
    intake.takeText(sealLine(sound.replace('magdir=+X+Y+Z', 'magdir=+X+Y-Z')), 0.1);
    intake.takeText(testSample(1), 0.1);
    expect(intake.helloFault).toContain('left-handed');
    expect(samples).toEqual([]);
    expect(intake.counters).toMatchObject({ malformed: 1, beforeHello: 2 });
  });

  test('the first line of a port is often partial and counts as that only', () => {
    const { intake } = running();
    intake.restart();
    intake.takeText(good.slice(9), 0.1);
    intake.takeText(good.slice(9), 0.1);
    expect(intake.counters).toEqual({ ...noCounts(), beforeFirst: 1, torn: 1 });
  });

  test('samples come in the frame of the board and in physical units', () => {
    const { intake, samples } = running({
      ...testHello,
      accelerometer: { ...testHello.accelerometer, orientation: '-Y+X+Z', gPerCount: 0.001 },
      gyro: { name: 'G', id: 1, orientation: '+Z+X+Y', dpsPerCount: 0.5 },
    });
    intake.takeText(sealLine('G 10 100000 1 -2 1000 100 200 -300 10 20 30 256'), 0.1);
    expect(samples[0]).toMatchObject({ accelG: [0.002, 0.001, 1], fieldNt: [15000, 30000, -45000] });
    expect(samples[0]).toMatchObject({ rateDps: [15, 5, 10], temperatureC: 26, sequence: 10, boardS: 0.1 });
  });

  test('the next hello may change scale and orientation', () => {
    const { intake, samples } = running();
    const { accelerometer } = testHello;
    intake.takeText(encodeHello({ ...testHello, accelerometer: { ...accelerometer, gPerCount: 0.002 } }), 0.1);
    intake.takeText(testSample(10), 0.1);
    expect(samples[0].accelG[2]).toBeCloseTo(2.036, 12);
  });
});
