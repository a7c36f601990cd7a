// The watch over strength and dip, and the watch over the vertical: one limit, one memory, one time at a time.
import { describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { emptyReading, type LevelledReading } from '../../calibration/live/attitude.ts';
import { DisturbanceWatch } from '../../calibration/live/disturbance.ts';
import { Turning } from '../../calibration/live/turning.ts';
import { normalise, rotationAbout, apply, type Vector3 } from '../../calibration/vector.ts';
import { Random } from '../../firmware-proto/virtual/random.ts';
import { plainAxisModel } from './plainAxisModel.ts';

const dipRad = 1.1;
const fieldNt = 54_000;
/** What strength differs by between attitudes, 0.2 percent, and dip, 0.1 degree. */
const attitude = { nt: 108, dipRad: 0.1 * degree };

class Watched {
  readonly watch: DisturbanceWatch;
  private readonly intervalS: number;
  private offers = 0;

  constructor(sigmaFieldNt: number, sigmaDipRad: number, intervalS = 0.01) {
    this.watch = new DisturbanceWatch({ ...plainAxisModel, fieldNt, dipRad, sigmaFieldNt, sigmaDipRad });
    this.intervalS = intervalS;
  }

  /** Readings for so long whose strength and dip are off by this, and their strength by turns more and less. */
  see(
    seconds: number,
    offNt: number,
    { offDipRad = 0, swingNt = 0, swingDipRad = 0, turned = false, excess = 1 } = {},
  ) {
    for (let i = Math.round(seconds / this.intervalS); i > 0; i -= 1) {
      this.offers += 1;
      const side = this.offers % 2 === 0 ? 1 : -1;
      const nt = fieldNt + offNt + side * swingNt;
      const dip = dipRad + offDipRad + side * swingDipRad;
      const reading = { ...emptyReading(), fieldNt: nt, horizontalNt: nt * Math.cos(dip), dipRad: dip };
      this.watch.offer(reading, this.intervalS, turned, excess, 0);
    }
    return this.watch;
  }
}

describe('a field that departs from the site', () => {
  const sigmaNt = Math.hypot(150, attitude.nt);
  const watched = (): Watched => new Watched(150, 0.02);

  it('is disturbed above four sigmas, and until it comes below three', () => {
    const one = watched();
    const disturbedAt = [3.8, 4.2, 3.2, 2.8, 3.2].map((sigmas) => one.see(8, sigmas * sigmaNt).disturbed);
    expect(disturbedAt).toEqual([false, true, true, false, false]);
  });

  it.each([1, -1])('opens the azimuth from two sigmas on, wholly at four (side %d)', (side) => {
    const openedTo = [1.9, 2.5, 3, 5].map((sigmas) => {
      const offNt = side * sigmas * sigmaNt;
      return (watched().see(8, offNt).azimuthSigmaRad * (fieldNt + offNt) * Math.cos(dipRad)) / Math.abs(offNt);
    });
    [0, 0.25, 0.5, 1].forEach((share, i) => expect(openedTo[i]).toBeCloseTo(share, 6));
  });

  it('counts whichever of strength and dip departs by more sigmas', () => {
    const sigmaDip = Math.hypot(0.02, attitude.dipRad);
    const sigmas = (ofField: number, ofDip: number): number =>
      watched().see(8, ofField * sigmaNt, { offDipRad: ofDip * sigmaDip }).deviationSigmas;
    expect(sigmas(3.5, -4.5)).toBeCloseTo(4.5, 6);
    expect(sigmas(-5.5, 4.5)).toBeCloseTo(5.5, 6);
  });

  it('is told after six samples, not after five', () => {
    expect(watched().see(0.05, 2000).disturbed).toBe(false);
    expect(watched().see(0.06, 2000).disturbed).toBe(true);
  });

  it('is averaged: of all samples at first, over 0.4 seconds later', () => {
    const one = watched();
    one.see(0.05, 0);
    expect(one.see(0.05, 1000).deviationSigmas).toBeLessThan(500 / sigmaNt);
    const later = new Watched(1000, 1);
    later.see(0.8, 0);
    const risen = later.see(0.4, 1500).deviationSigmas / (1500 / Math.hypot(1000, attitude.nt));
    // an exponential mean holds 63 percent of a step after its time
    expect(risen).toBeGreaterThan(0.55);
    expect(risen).toBeLessThan(0.7);
  });

  it('weighs less where readings scatter, and less again where their scatter carries on', () => {
    const scattering = (excess: number): number =>
      new Watched(1, 1).see(20, 2000, { swingNt: 3000, excess }).deviationSigmas;
    // a mean over 0.4 seconds at a hundred a second is worth about eighty samples
    expect(scattering(1)).toBeGreaterThan(2000 / Math.hypot(attitude.nt, 3000 / Math.sqrt(81)) / 1.05);
    expect(scattering(1)).toBeLessThan((2000 / Math.hypot(attitude.nt, 3000 / Math.sqrt(81))) * 1.05);
    expect(scattering(9)).toBeCloseTo(2000 / Math.hypot(attitude.nt, 9000 / Math.sqrt(81)), 0);
    const ofDip = (excess: number): number =>
      new Watched(1000, 0).see(20, 0, { offDipRad: 0.02, swingDipRad: 0.03, excess }).deviationSigmas;
    expect(ofDip(1) * Math.hypot(attitude.dipRad, 0.03 / 9)).toBeCloseTo(0.02, 2);
    expect(ofDip(9) * Math.hypot(attitude.dipRad, 0.03 / 3)).toBeCloseTo(0.02, 2);
    expect(ofDip(9)).toBeLessThan(0.5 * ofDip(1));
  });

  it('is noticed after a blow as well as before it', () => {
    const [calm, shaken] = [new Watched(1, 1), new Watched(1, 1)].map((one) => {
      one.see(10, 0, { swingNt: 100, swingDipRad: 0.002 });
      return one;
    });
    shaken.see(0.01, 1e6, { offDipRad: 0.4 });
    calm.see(0.01, 0);
    const [usual, after] = [calm, shaken].map((one) => one.see(8, 700, { swingNt: 100 }).deviationSigmas);
    expect(after / usual).toBeGreaterThan(0.8);
    expect(after / usual).toBeLessThan(1.01);
  });
});

describe('a field that departs from what the board saw a moment ago', () => {
  /** A site that is known so badly that it tells nothing. */
  const vague = (): Watched => new Watched(4000, 0.5);

  it('is held against that by what attitudes may differ: strength or dip, whichever departs by more', () => {
    const one = vague();
    one.see(20, 300, { offDipRad: 0.01 });
    const watch = one.see(5, 300 + 600, { offDipRad: 0.01 + 0.004 });
    expect(watch.deviationSigmas).toBeCloseTo(600 / attitude.nt, 1);
    expect(watch.disturbed).toBe(true);
    const opened = Math.hypot(600, (fieldNt + 900) * 0.004) / ((fieldNt + 900) * Math.cos(dipRad + 0.014));
    expect(watch.azimuthSigmaRad / opened).toBeCloseTo(1, 1);
    const other = vague();
    other.see(20, 300, { offDipRad: 0.01 });
    expect(other.see(5, 300 - 200, { offDipRad: 0.01 - 0.012 }).deviationSigmas).toBeCloseTo(
      0.012 / attitude.dipRad,
      0,
    );
  });

  it('but not before two clean seconds were seen, nor after the board was turned far', () => {
    const stepAfter = (seconds: number): boolean => {
      const one = vague();
      one.see(seconds, 0);
      return one.see(2, 900).disturbed;
    };
    // the first 0.8 seconds are averaged only
    expect([1, 3].map(stepAfter)).toEqual([false, true]);
    const turned = vague();
    turned.see(20, 0);
    turned.see(0.01, 0, { turned: true });
    expect(turned.see(1.5, 900).disturbed).toBe(false);
  });

  it('follows what changes slowly, as the night does, and never what is disturbed', () => {
    const slow = vague();
    for (let minute = 0; minute < 6; minute += 1) slow.see(60, 100 * minute);
    expect(slow.watch.disturbed).toBe(false);
    // the memory is a minute long: of the last hundred, two thirds are learned
    expect(slow.watch.deviationSigmas).toBeGreaterThan(0.3);
    expect(slow.watch.deviationSigmas).toBeLessThan(0.8);
    const bent = vague();
    bent.see(60, 0);
    expect(bent.see(300, 900).disturbed).toBe(true);
    expect(bent.see(5, 0).disturbed).toBe(false);
  });

  it('is forgotten at a restart', () => {
    const one = vague();
    one.see(20, 0);
    expect(one.see(3, 900).disturbed).toBe(true);
    one.watch.restart();
    expect([one.watch.disturbed, one.watch.deviationSigmas, one.watch.azimuthSigmaRad]).toEqual([false, 0, 0]);
    expect(one.see(3, 900).disturbed).toBe(false);
  });
});

describe('motion of the vertical in the board', () => {
  const up = (v: Vector3): LevelledReading => ({ ...emptyReading(), upX: v[0], upY: v[1], upZ: v[2] });
  const start = normalise([0.5, -0.3, 0.8]);
  /** Ways to turn in which each of the three components moves in turn most. */
  const abouts = [
    [0, 1, 0.375],
    [1, 0, -0.625],
    [0.6, 1, 0],
  ].map((v) => normalise(v as unknown as Vector3));

  const shortestRestS = (turning: Turning, seconds: number, at: (timeS: number) => Vector3): number => {
    let least = Infinity;
    for (let i = 1; i <= seconds * 100; i += 1) {
      turning.offer(up(at(i / 100)), 0.01);
      least = Math.min(least, turning.restS);
    }
    return least;
  };
  const started = (): Turning => {
    const turning = new Turning();
    turning.restart(up(start));
    return turning;
  };

  it('rest is counted from the start, from motion, and from what another sensor noticed', () => {
    const turning = started();
    shortestRestS(turning, 2, () => start);
    expect(turning.restS).toBeCloseTo(2, 9);
    turning.noticed();
    expect(turning.restS).toBe(0);
    shortestRestS(turning, 3, () => start);
    expect(turning.restS).toBeCloseTo(3, 9);
    turning.restart(up(start));
    expect(turning.restS).toBe(0);
  });

  it.each(abouts)('a turn about (%d, %d, %d) is seen at half a degree a second, not at a quarter', (...about) => {
    const turnedAt = (degreesPerS: number): number => {
      const turning = started();
      shortestRestS(turning, 10, () => start);
      return shortestRestS(turning, 2, (timeS) => apply(rotationAbout(about, timeS * degreesPerS * degree), start));
    };
    expect(turnedAt(0.25)).toBeGreaterThan(1);
    expect(turnedAt(0.5)).toBeLessThan(0.02);
    expect(turnedAt(-0.5)).toBeLessThan(0.02);
  });

  it('noise is no motion once it is known, and hides none that is much larger', () => {
    const random = new Random(5);
    const noisy = (v: Vector3): Vector3 => random.normal3(0.006).map((n, i) => n + v[i]) as unknown as Vector3;
    const turning = started();
    shortestRestS(turning, 20, () => noisy(start));
    expect(shortestRestS(turning, 60, () => noisy(start))).toBeGreaterThan(1);
    const moved = (timeS: number): Vector3 => noisy(apply(rotationAbout(abouts[0], timeS * 3 * degree), start));
    expect(shortestRestS(turning, 2, moved)).toBeLessThan(0.02);
  });

  it('far is five degrees from where it was told last, along any component', () => {
    for (const about of abouts) {
      const turning = started();
      const farAt: number[] = [];
      for (let i = 0; i < 1400; i += 1) {
        turning.offer(up(apply(rotationAbout(about, (i / 100) * degree), start)), 0.01);
        if (turning.isFar) farAt.push(i / 100);
      }
      // the slow mean is 0.4 seconds behind
      expect(farAt).toHaveLength(2);
      expect(farAt[0]).toBeCloseTo(5.4, 1);
      expect(farAt[1] - farAt[0]).toBeCloseTo(5, 1);
    }
  });
});
