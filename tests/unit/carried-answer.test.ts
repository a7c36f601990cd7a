import { mkdirSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { arcminute, degree } from '../../calibration/angle.ts';
import type { AxisModel } from '../../calibration/axisModel.ts';
import type { Anchor } from '../../calibration/live/estimator.ts';
import type { LiveSession, Needles } from '../../host/live/session.ts';
import { carriedBy, carryOn, type CarriedAnswer } from '../../host/night/carriedAnswer.ts';
import { keepEstimate, nightOf } from '../../host/night/nightFile.ts';

const model = { sigmaAltitudeRad: arcminute, sigmaMagneticAzimuthRad: 4 * arcminute } as AxisModel;

/** Needles that show what the bolts did, from the last anchor on, as the live estimator does. */
class Bench {
  anchor: Anchor | undefined;
  anchors = 0;
  private readonly listeners = new Set<(needles: Needles) => void>();
  private current: Needles | undefined;
  private nowS = 0;
  private altitudeRad = 10 * arcminute;
  private azimuthRad = 30 * arcminute;
  private from = { altitudeRad: 0, azimuthRad: 0 };
  readonly session = {
    source: 'bench',
    virtual: { eyepiece: { utc: () => new Date() } },
    site: { latitudeRad: 47 * degree, longitudeRad: 0, elevationM: 0 },
    axisModel: () => model,
    latest: () => this.current,
    onNeedles: (listener: (needles: Needles) => void) => {
      this.listeners.add(listener);
      return () => this.listeners.delete(listener);
    },
    anchorTo: (known: Anchor | undefined) => {
      this.anchor = known;
      this.anchors += 1;
      this.from = { altitudeRad: this.altitudeRad, azimuthRad: this.azimuthRad };
    },
  } as unknown as LiveSession;

  /** Turns the bolts by so many arcminutes: the needles are seen to move. */
  turn(altitudeArcmin: number, azimuthArcmin: number): void {
    this.altitudeRad += altitudeArcmin * arcminute;
    this.azimuthRad += azimuthArcmin * arcminute;
    this.pass(0.5, 'moving');
  }

  /** Lets time pass with ten needles a second; the last one is returned. */
  pass(seconds: number, state: Needles['state'] = 'still'): Needles {
    for (let i = 0; i < seconds * 10; i += 1) {
      this.nowS += 0.1;
      const { anchor, from } = this;
      this.current = {
        arrivalS: this.nowS,
        utcMs: Date.now(),
        state,
        altitudeErrorRad: anchor ? anchor.altitudeErrorRad + this.altitudeRad - from.altitudeRad : this.altitudeRad,
        azimuthErrorRad: anchor ? anchor.azimuthErrorRad + this.azimuthRad - from.azimuthRad : this.azimuthRad,
        sigmaAltitudeErrorRad: arcminute,
        sigmaAzimuthErrorRad: 25 * arcminute,
      } as Needles;
      for (const listener of this.listeners) listener(this.current);
    }
    return this.current!;
  }
}

describe('the answer that the needles carry', () => {
  let bench: Bench;
  let carried: CarriedAnswer;
  beforeEach(() => {
    bench = new Bench();
    carried = carriedBy(bench.session);
  });
  afterEach(() => carried.close());
  /** The azimuth is known by `sigma` arcminutes, the altitude by three quarters of that. */
  const measure = async (kind: 'compass' | 'sights' | 'drift', altitude: number, azimuth: number, sigma = 2) => {
    const variance = (sigma * arcminute) ** 2;
    await carried.log.keep({
      kind,
      altitudeErrorRad: altitude * arcminute,
      azimuthErrorRad: azimuth * arcminute,
      axisCovariance: [0.75 ** 2 * variance, 0, 0, variance],
    });
    carried.renew();
  };
  const nudges = () => carried.log.entries.filter(({ kind }) => kind === 'nudge').length;

  it('leaves the needles to the compass until something was measured on the sky', async () => {
    bench.pass(5);
    await measure('compass', 10, 30, 25);
    bench.pass(5);
    expect(carried.isCarrying).toBe(false);
    expect(bench.anchor).toBeUndefined();
  });

  it('takes the sky as zero at the first rest, with the sigma of the answer', async () => {
    bench.pass(5);
    await measure('sights', 4, 12);
    expect(carried.isCarrying).toBe(false);
    bench.pass(3);
    expect(carried.isCarrying).toBe(true);
    expect(bench.anchor?.azimuthErrorRad).toBeCloseTo(12 * arcminute, 9);
    expect(bench.anchor?.sigmaAltitudeErrorRad).toBeCloseTo(1.5 * arcminute, 6);
    expect(bench.anchor?.sigmaAzimuthErrorRad).toBeCloseTo(2 * arcminute, 6);
    expect(carried.kinds()).toEqual(['sights']);
    expect(carried.words()).toMatch(/^The needles continue from sights \(\d+ s ago\)\.$/);
  });

  it('counts a nudge that was told, however small, and ends at what was measured plus the turn', async () => {
    await measure('sights', 4, 12);
    bench.pass(25);
    carried.nudgeBegins();
    bench.turn(-1, -3);
    await carried.nudgeEnds(bench.pass(4));
    expect(nudges()).toBe(1);
    bench.pass(25);
    const answer = carried.answer();
    expect(answer?.altitudeErrorRad).toBeCloseTo(3 * arcminute, 6);
    expect(answer?.azimuthErrorRad).toBeCloseTo(9 * arcminute, 6);
    expect(bench.pass(1).azimuthErrorRad).toBeCloseTo(9 * arcminute, 6);
  });

  it('counts a nudge that begins before the first needle after the new zero from that needle on', async () => {
    bench.pass(1);
    await measure('sights', 3, -7);
    carried.renew();
    while (!carried.isCarrying) bench.pass(0.1);
    carried.nudgeBegins();
    expect(carried.isNudging).toBe(true);
    bench.pass(0.1);
    bench.turn(2, 5);
    await carried.nudgeEnds(bench.pass(4));
    expect(carried.answer()?.altitudeErrorRad).toBeCloseTo(5 * arcminute, 9);
    expect(carried.answer()?.azimuthErrorRad).toBeCloseTo(-2 * arcminute, 9);
  });

  it('keeps how long the needles rested between two nudges, so that nudges in one go count as one', async () => {
    await measure('sights', 4, 12);
    bench.pass(25);
    for (let i = 0; i < 4; i += 1) {
      carried.nudgeBegins();
      bench.turn(0, -3);
      await carried.nudgeEnds(bench.pass(4));
      bench.pass(3);
    }
    const rests = carried.log.entries.flatMap((entry) => (entry.kind === 'nudge' ? [entry.restedS ?? Infinity] : []));
    expect(rests[0]).toBe(Infinity);
    for (const restedS of rests.slice(1)) expect(restedS).toBeCloseTo(3, 6);
    const spread = Math.sqrt(carried.answer()?.axisCovariance[3] ?? NaN) / arcminute;
    // sights of 2' and one nudge of 3', three more of which little is new
    expect(spread).toBeGreaterThan(Math.hypot(2, 3));
    expect(spread).toBeLessThan(Math.hypot(2, 3) + 0.6);
  });

  it('gives up what was measured, even in the middle of a nudge; the log keeps it and says why', async () => {
    await measure('sights', 4, 12);
    bench.pass(25);
    carried.nudgeBegins();
    await carried.giveUp('The site was changed.');
    expect(bench.anchor).toBeUndefined();
    expect(carried.isCarrying).toBe(false);
    expect(carried.isNudging).toBe(false);
    expect(carried.answer()).toBeUndefined();
    expect(carried.log.entries.map(({ kind }) => kind)).toEqual(['sights', 'note']);
    bench.pass(25);
    expect(bench.anchor).toBeUndefined();
    await carried.giveUp('There is nothing to give up any more.');
    expect(carried.log.entries).toHaveLength(2);
    await measure('drift', 1, 2);
    bench.pass(25);
    expect(carried.kinds()).toEqual(['drift']);
  });

  it('notices a large nudge that nobody told, once', async () => {
    await measure('sights', 4, 12);
    bench.pass(25);
    bench.turn(0, 40);
    bench.pass(30);
    expect(nudges()).toBe(1);
    expect(carried.answer()?.azimuthErrorRad).toBeCloseTo(52 * arcminute, 6);
    expect(bench.pass(1).azimuthErrorRad).toBeCloseTo(52 * arcminute, 6);
  });

  it('counts no nudge, told or not, before anything was measured: what is noted of a step is no measurement', async () => {
    await carried.log.noteStep('needles', 'Needles at rest.');
    bench.pass(5);
    bench.turn(0, 40);
    bench.pass(30);
    carried.nudgeBegins();
    bench.turn(-6, 50);
    await carried.nudgeEnds(bench.pass(4));
    expect(nudges()).toBe(0);
  });

  it('does not swallow a small nudge that nobody told: the needles show it still', async () => {
    await measure('sights', 4, 12);
    bench.pass(25);
    bench.turn(0, 5);
    expect(bench.pass(30).azimuthErrorRad).toBeCloseTo(17 * arcminute, 6);
    expect(nudges()).toBe(0);
  });

  it('takes no board in the hand for a nudge', async () => {
    await measure('sights', 4, 12);
    bench.pass(25);
    bench.turn(3000, 2000);
    bench.pass(5);
    bench.turn(-3000, -2000);
    bench.pass(5);
    expect(nudges()).toBe(0);
  });

  it('ends a nudge by itself after keys of a virtual bolt, when the needles rest', async () => {
    await measure('sights', 4, 12);
    bench.pass(25);
    carried.nudgeBegins(true);
    bench.turn(0, 3);
    bench.pass(2);
    expect(carried.isNudging).toBe(true);
    bench.pass(4);
    expect(carried.isNudging).toBe(false);
    expect(nudges()).toBe(1);
  });

  it('puts locking into the log and goes on from there', async () => {
    await measure('drift', 1, 2);
    bench.pass(25);
    bench.turn(2, 0);
    await carried.shifted(
      {
        altitudeShiftRad: 2 * arcminute,
        azimuthShiftRad: 0,
        covariance: [(0.4 * arcminute) ** 2, 0, 0, (1.5 * arcminute) ** 2],
      },
      'locking',
      'Locking moved the axis.',
    );
    bench.pass(5);
    expect(carried.answer()?.altitudeErrorRad).toBeCloseTo(3 * arcminute, 6);
    expect(carried.log.entries.at(-1)).toMatchObject({ kind: 'nudge', words: 'Locking moved the axis.' });
  });

  it('puts sights and drift together by their weights', async () => {
    await measure('sights', 4, 12, 4);
    await measure('drift', 2, 8, 2);
    // weights 1/16 and 1/4
    expect(carried.answer()?.azimuthErrorRad).toBeCloseTo(((12 / 16 + 8 / 4) / (1 / 16 + 1 / 4)) * arcminute, 4);
  });
});

describe('after a restart of the program', () => {
  let home: string;
  beforeEach(() => {
    home = mkdtempSync(join(tmpdir(), 'lodepole-carried-'));
    process.env.LODEPOLE_HOME = home;
  });
  afterEach(() => {
    delete process.env.LODEPOLE_HOME;
    rmSync(home, { recursive: true });
  });
  const realBoard = (bench: Bench): LiveSession => ({ ...bench.session, virtual: undefined });
  const sights = {
    kind: 'sights' as const,
    utcMs: Date.now() - 600_000,
    altitudeErrorRad: 3 * arcminute,
    azimuthErrorRad: -7 * arcminute,
    axisCovariance: [1e-6, 0, 0, 1e-6] as const,
  };

  it('the needles of a board go on with what was measured, those of a virtual one do not', async () => {
    await keepEstimate(sights);
    const [bench, virtual] = [new Bench(), new Bench()];
    const carried = await carryOn(realBoard(bench), () => {});
    const practice = await carryOn(virtual.session, () => {});
    bench.pass(4);
    virtual.pass(4);
    expect(bench.anchor?.azimuthErrorRad).toBeCloseTo(-7 * arcminute, 9);
    expect(virtual.anchor).toBeUndefined();
    carried.close();
    practice.close();
  });

  it('a log that cannot be read is told of and stops no needle', async () => {
    mkdirSync(join(home, 'nights', `${nightOf(Date.now())}.jsonl`), { recursive: true });
    const told: string[] = [];
    const bench = new Bench();
    const carried = await carryOn(realBoard(bench), (words) => told.push(words));
    expect(told.join()).toMatch(/log of this night is not used: .*\.jsonl cannot be read: that is a folder/);
    bench.pass(4);
    expect(bench.anchor).toBeUndefined();
    carried.close();
  });
});
