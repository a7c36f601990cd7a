import { describe, expect, it } from 'vitest';
import type { TimedReading } from '../../calibration/swing/timedReading.ts';
import { DwellFinder, shotDwells } from '../../calibration/swing/dwell.ts';
import { Random } from '../../firmware-proto/virtual/random.ts';
import type { Vector3 } from '../../calibration/vector.ts';

const noisy = (random: Random, boardS: number, up: Vector3): TimedReading => {
  const [x, y, z] = random.normal3(0.002);
  return {
    boardS,
    accelG: [up[0] + x, up[1] + y, up[2] + z],
    fieldNt: random.normal3(300),
    temperatureC: 12,
  };
};

/** Angle of the axis over time: rests of `restS` seconds, turns of one second by `stepRad` between them. */
function feed(finder: DwellFinder, hz: number, rests: number, restS: number, stepRad: number): void {
  const random = new Random(8);
  const period = restS + 1;
  for (let i = 0; i < rests * period * hz; i += 1) {
    const t = i / hz;
    const k = Math.floor(t / period);
    const turning = Math.max(t - k * period - restS, 0);
    const angle = (k + turning) * stepRad;
    finder.offer(noisy(random, t, [Math.cos(angle), Math.sin(angle), 0]));
  }
  finder.close();
}

describe('rests found by themselves', () => {
  it.each([10, 20, 50, 100])('finds every rest at %i samples a second and none while turning', (hz) => {
    const finder = new DwellFinder();
    feed(finder, hz, 8, 2, 0.5);
    expect(finder.dwells).toHaveLength(8);
    finder.dwells.forEach(({ accelG, sigmaAccelG, temperatureC }, k) => {
      const angle = k * 0.5;
      const off = Math.hypot(accelG[0] - Math.cos(angle), accelG[1] - Math.sin(angle), accelG[2]);
      expect(off).toBeLessThan(4 * sigmaAccelG * Math.sqrt(3));
      expect(temperatureC).toBeCloseTo(12, 9);
    });
  });

  it('passes over rests under a second, and over slow turning', () => {
    const short = new DwellFinder();
    feed(short, 100, 6, 0.5, 0.5);
    expect(short.dwells).toHaveLength(0);
    const slow = new DwellFinder();
    const random = new Random(4);
    for (let i = 0; i < 1000; i += 1) {
      const angle = 0.08 * (i / 100);
      slow.offer(noisy(random, i / 100, [Math.cos(angle), Math.sin(angle), 0]));
    }
    slow.close();
    expect(slow.dwells).toHaveLength(0);
  });

  it('passes over a shaken board, over numbers that are none, and starts anew when the clock jumps', () => {
    const random = new Random(6);
    const shaken = new DwellFinder();
    for (let i = 0; i < 400; i += 1) {
      shaken.offer({ boardS: i / 100, accelG: random.normal3(0.06), fieldNt: [0, 0, 0] });
    }
    shaken.close();
    expect(shaken.dwells).toHaveLength(0);

    const jumping = new DwellFinder();
    for (const start of [0, 500]) {
      for (let i = 0; i < 200; i += 1) jumping.offer(noisy(random, start + i / 100, [0, 0, 1]));
      jumping.offer({ boardS: start + 2, accelG: [NaN, 0, 1], fieldNt: [0, 0, 0] });
    }
    jumping.close();
    expect(jumping.dwells).toHaveLength(2);
  });

  it('parts two rests between which only the field turned, as of a board turned smoothly about the vertical', () => {
    const finder = new DwellFinder();
    const random = new Random(9);
    for (let i = 0; i < 700; i += 1) {
      const t = i / 100;
      const angle = Math.PI * Math.min(Math.max((t - 2) / 3, 0), 1);
      const [x, y, z] = random.normal3(300);
      const { accelG } = noisy(random, t, [0, 0, 1]);
      finder.offer({
        boardS: t,
        accelG,
        fieldNt: [20_000 * Math.cos(angle) + x, 20_000 * Math.sin(angle) + y, 48_000 + z],
      });
    }
    finder.close();
    expect(finder.dwells).toHaveLength(2);
    expect(finder.dwells.map(({ fieldNt }) => Math.round(fieldNt[0] / 1000))).toEqual([20, -20]);
  });

  it('keeps no more than 200 rests', () => {
    const finder = new DwellFinder();
    feed(finder, 10, 220, 1.6, 0.5);
    expect(finder.dwells).toHaveLength(200);
  });

  it('takes readings without a time as one rest each', () => {
    const [dwell] = shotDwells([{ accelG: [0, 0, 1], fieldNt: [1, 2, 3] }]);
    expect(dwell).toMatchObject({ accelG: [0, 0, 1], fieldNt: [1, 2, 3], samples: 1, sigmaAccelG: 0.003 });
  });
});
