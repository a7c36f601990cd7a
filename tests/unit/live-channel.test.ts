// One component of the axis' direction: what its running means, its gates and its measured noise must do, whatever the formulas.
import { describe, expect, it } from 'vitest';
import { NeedleChannel } from '../../calibration/live/channel.ts';
import { Random } from '../../firmware-proto/virtual/random.ts';

/** A needle that is moved by its channel; everything in radians. */
class Needle {
  readonly channel: NeedleChannel;
  at = 0;
  jumps = 0;
  private readonly intervalS: number;

  constructor(firstSigmaRad = 0.005, intervalS = 0.01) {
    this.channel = new NeedleChannel(firstSigmaRad);
    this.intervalS = intervalS;
  }

  read(valueRad: number, restful = true): void {
    this.at += this.channel.offer(valueRad - this.at, this.intervalS, restful);
    if (this.channel.hasJumped) this.jumps += 1;
  }

  readFor(seconds: number, valueAt: () => number): void {
    for (let i = Math.round(seconds / this.intervalS); i > 0; i -= 1) this.read(valueAt());
  }
}

const noise = (seed: number, sigmaRad: number, memory = 0): (() => number) => {
  const random = new Random(seed);
  let value = sigmaRad * random.normal();
  return () => (value = memory * value + Math.sqrt(1 - memory * memory) * sigmaRad * random.normal());
};

describe('a needle at rest', () => {
  it('shows the mean of all that was read since it started', () => {
    const needle = new Needle();
    const next = noise(3, 0.001);
    let sum = 0;
    for (let n = 1; n <= 580; n += 1) {
      const value = 0.2 + next();
      sum += value;
      needle.read(value);
      if (n % 29 === 0) expect(needle.at).toBeCloseTo(sum / n, 12);
    }
    expect(needle.jumps).toBe(0);
  });

  it.each([0.01, 0.03])('forgets over six seconds (interval %d s)', (intervalS) => {
    const needle = new Needle(0.005, intervalS);
    needle.readFor(60, () => 0);
    // a twentieth of the least noise of a sample: no mean can notice it
    needle.readFor(6, () => 1.5e-5);
    expect(needle.at / 1.5e-5).toBeCloseTo(1 - Math.exp(-1), 2);
  });

  it('is as sure as the mean of independent readings, until it forgets', () => {
    const ratios = { young: 0, old: 0 };
    for (let seed = 1; seed <= 8; seed += 1) {
      const needle = new Needle();
      const next = noise(seed, 0.002);
      needle.readFor(3, next);
      ratios.young += needle.channel.restSigmaRad() / (0.002 / Math.sqrt(300)) / 8;
      needle.readFor(30, next);
      ratios.old += needle.channel.restSigmaRad() / (0.002 / Math.sqrt(600)) / 8;
    }
    // the excess that is found by chance in white noise widens it a little
    expect(ratios.young).toBeGreaterThan(0.95);
    expect(ratios.young).toBeLessThan(1.25);
    expect(ratios.old).toBeGreaterThan(0.95);
    expect(ratios.old).toBeLessThan(1.25);
  });

  it('takes its noise for what it was told until 25 readings have measured it, and never for less than a third of a count', () => {
    const needle = new Needle(0.004);
    const atReading: number[] = [];
    for (let n = 1; n <= 40; n += 1) {
      needle.read(0.1);
      atReading.push(needle.channel.restSigmaRad() * Math.sqrt(n));
    }
    expect(atReading[0]).toBeCloseTo(0.004, 12);
    expect(atReading[20]).toBeCloseTo(0.004, 12);
    // four readings more, since noise is measured against the mean of three
    expect(atReading[27]).toBeCloseTo(0.004, 12);
    expect(atReading[28]).toBeCloseTo(3e-4, 12);
    expect(atReading[39]).toBeCloseTo(3e-4, 12);
  });

  it('finds by how much noise that carries on widens the means: 19 times for a memory of 0.9', () => {
    let found = { white: 0, carried: 0 };
    for (let seed = 1; seed <= 6; seed += 1) {
      const [white, carried] = [0, 0.9].map((memory) => {
        const needle = new Needle();
        needle.readFor(60, noise(seed, 0.002, memory));
        return needle.channel.longestExcess();
      });
      found = { white: found.white + white / 6, carried: found.carried + carried / 6 };
    }
    // (1 + 0.9) / (1 - 0.9), for means much longer than the memory; less where the noise of a sample is taken against a short mean
    expect(found.white).toBeLessThan(1.6);
    expect(found.carried).toBeGreaterThan(10);
    expect(found.carried).toBeLessThan(60);
  });

  it('learns no such excess while something else moves', () => {
    const next = noise(2, 0.002, 0.9);
    const needle = new Needle();
    for (let i = 0; i < 6000; i += 1) needle.read(next(), false);
    expect(needle.channel.longestExcess()).toBe(1);
  });

  it('is not made deaf by a blow: its noise stays what it was', () => {
    const next = noise(4, 0.002);
    const needle = new Needle();
    needle.readFor(20, next);
    const before = needle.channel.restSigmaRad();
    needle.read(0.5);
    needle.readFor(12, next);
    expect(needle.channel.restSigmaRad() / before).toBeLessThan(1.15);
    const jumps = needle.jumps;
    needle.readFor(0.5, () => 0.02 + next());
    expect(needle.jumps).toBeGreaterThan(jumps);
    expect(needle.at).toBeCloseTo(0.02, 2);
  });
});

describe('a needle that moves', () => {
  const rested = (sigmaRad: number, seed = 6): { needle: Needle; next: () => number } => {
    const next = noise(seed, sigmaRad);
    const needle = new Needle();
    needle.readFor(15, next);
    return { needle, next };
  };

  it.each([0.1, -0.1])(
    'follows a step far above its noise by three quarters within a tenth of a second (%d)',
    (step) => {
      const { needle, next } = rested(0.002);
      expect(needle.channel.isMoving).toBe(false);
      needle.readFor(0.1, () => step + next());
      expect(needle.at / step).toBeGreaterThan(0.75);
      expect(needle.at / step).toBeLessThan(1.05);
      expect(needle.channel.isMoving).toBe(true);
      needle.readFor(0.2, () => step + next());
      expect(needle.at / step).toBeCloseTo(1, 1);
    },
  );

  it.each([1, -1])('covers what it lags behind from an eighth of a second after a step on (side %d)', (side) => {
    let outside = 0;
    for (let seed = 1; seed <= 10; seed += 1) {
      const { needle, next } = rested(0.002, seed);
      for (let i = 0; i < 60; i += 1) {
        needle.read(side * 0.05 + next());
        if (i > 12 && Math.abs(needle.at - side * 0.05) > 2.5 * needle.channel.sigmaRad()) outside += 1;
      }
    }
    expect(outside / 470).toBeLessThan(0.08);
  });

  it('is called moving for half a second after a step, and its sigma comes back to that of a needle at rest', () => {
    const { needle, next } = rested(0.001);
    const quiet = needle.channel.sigmaRad();
    needle.readFor(0.3, () => 0.08 + next());
    expect(needle.channel.sigmaRad()).toBeGreaterThan(3 * quiet);
    const lastJump = { s: 0 };
    for (let i = 1; i <= 200; i += 1) {
      needle.read(0.08 + next());
      if (needle.channel.hasJumped) lastJump.s = i / 100;
      if (i / 100 > lastJump.s + 0.52) expect(needle.channel.isMoving).toBe(false);
    }
    expect(lastJump.s).toBeLessThan(1);
    needle.readFor(10, () => 0.08 + next());
    expect(needle.channel.sigmaRad() / quiet).toBeLessThan(1.3);
  });

  it('stays called moving through a long steady creep, and follows it within what it states', () => {
    const { needle, next } = rested(0.002);
    let [calledMoving, inside] = [0, 0];
    for (let i = 1; i <= 800; i += 1) {
      const truth = 0.006 * (i / 100);
      needle.read(truth + next());
      if (i <= 200) continue;
      calledMoving += needle.channel.isMoving ? 1 : 0;
      inside += Math.abs(needle.at - truth) < 2 * needle.channel.sigmaRad() ? 1 : 0;
    }
    expect(calledMoving / 600).toBeGreaterThan(0.9);
    expect(inside / 600).toBeGreaterThan(0.9);
  });

  it('shakes no more than its noise while it waits for the next motion', () => {
    const { needle, next } = rested(0.002);
    let squares = 0;
    for (let i = 0; i < 4000; i += 1) {
      needle.read(next());
      squares += needle.at ** 2;
    }
    expect(Math.sqrt(squares / 4000)).toBeLessThan(3 * (0.002 / Math.sqrt(600)));
  });

  it('after a restart it starts at the next reading, with its noise known and the word "moving"', () => {
    const { needle, next } = rested(0.001);
    needle.channel.restart();
    expect(needle.channel.isMoving).toBe(true);
    needle.read(0.7);
    expect(needle.at).toBe(0.7);
    expect(needle.channel.restSigmaRad()).toBeGreaterThan(0.0008);
    expect(needle.channel.restSigmaRad()).toBeLessThan(0.0016);
    needle.readFor(0.45, () => 0.7 + next());
    expect(needle.channel.isMoving).toBe(true);
    needle.readFor(0.1, () => 0.7 + next());
    expect(needle.channel.isMoving).toBe(false);
    expect(needle.jumps).toBe(0);
  });
});

describe('a needle that is seen to move', () => {
  it.each([
    [100, 3, 0],
    [200, 8, 0],
    [50, 8, 0.3],
    [200, 8, 0.3],
  ])('is as sure as it is near, from the first moment on: %d Hz, %d degrees within %d s', (hz, sizeDeg, lastsS) => {
    const degree = Math.PI / 180;
    const [sigmaRad, truthRad] = [0.3 * degree, sizeDeg * degree];
    let [squares, count, worst] = [0, 0, 0];
    for (let seed = 1; seed <= 20; seed += 1) {
      const next = noise(seed, sigmaRad);
      const needle = new Needle(0.005, 1 / hz);
      needle.readFor(10, next);
      for (let i = 0; i < 0.4 * hz; i += 1) {
        const isAt = truthRad * (lastsS === 0 ? 1 : Math.min(1, i / hz / lastsS));
        needle.read(isAt + next(), false);
        if (!needle.channel.isMoving) continue;
        const sigmas = Math.abs(needle.at - isAt) / needle.channel.sigmaRad();
        squares += sigmas * sigmas;
        count += 1;
        worst = Math.max(worst, sigmas);
      }
    }
    expect(count).toBeGreaterThan(5 * hz);
    // a jump goes a quarter of the way or less: what is left of it must be in the sigma at once
    expect(Math.sqrt(squares / count)).toBeLessThan(1.8);
    expect(worst).toBeLessThan(6);
  });
});
