import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { arcminute, degree } from '../../calibration/angle.ts';
import { fitKnob, turnsToCorrect, type KnobTurn } from '../../calibration/knob.ts';
import { lockShift } from '../../calibration/lock.ts';
import { LockStep, lockWords } from '../../host/steps/lockStep.ts';
import { exactDwells, type ExactMount } from './swingExact.ts';
import { identity3 } from '../../calibration/vector.ts';
import { axisFeeder } from './axisFeeder.ts';
import { plainAxisModel } from './plainAxisModel.ts';

/** A bolt with play: it moves the axis only once the play is used up. */
function bolt(radPerTurn: number, backlashTurns: number): (turns: number) => KnobTurn {
  let mechanism = 0;
  let turned = 0;
  return (turns) => {
    turned += turns;
    const before = mechanism;
    mechanism = Math.min(Math.max(mechanism, turned - backlashTurns / 2), turned + backlashTurns / 2);
    return { turns, shiftRad: (mechanism - before) * radPerTurn, sigmaShiftRad: 0.3 * arcminute };
  };
}

describe('turns of a bolt', () => {
  it('gives degrees per turn and play of any bolt back, whichever way it works', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.3, max: 3, noNaN: true }),
        fc.double({ min: 0, max: 0.4, noNaN: true }),
        fc.boolean(),
        (degPerTurn, play, isLeftHanded) => {
          const radPerTurn = degPerTurn * degree * (isLeftHanded ? -1 : 1);
          const turn = bolt(radPerTurn, play);
          const knob = fitKnob([turn(1), turn(1), turn(-1.5), turn(-1), turn(2)]);
          expect(Math.abs(knob.radPerTurn / radPerTurn - 1)).toBeLessThan(0.03);
          expect(Math.abs(knob.backlashTurns - play)).toBeLessThan(0.05);
          expect(knob.lastWay).toBe(1);
        },
      ),
      { numRuns: 60, seed: 3 },
    );
  });

  it('is less sure after one turn than after three, for the play may have been in it', () => {
    const turn = bolt(1 * degree, 0.2);
    const one = fitKnob([turn(1)]);
    const three = fitKnob([turn(1), turn(1), turn(-1)]);
    expect(one.sigmaRadPerTurn).toBeGreaterThan(2 * three.sigmaRadPerTurn);
    expect(() => fitKnob([])).toThrow(RangeError);
  });

  it('adds the play only when the way of turning changes', () => {
    const knob = {
      radPerTurn: 1 * degree,
      sigmaRadPerTurn: 0,
      backlashTurns: 0.2,
      sigmaBacklashTurns: 0,
      lastWay: 1 as const,
    };
    expect(turnsToCorrect(knob, -2 * degree)).toBeCloseTo(2, 9);
    expect(turnsToCorrect(knob, 2 * degree)).toBeCloseTo(-2.2, 9);
    expect(turnsToCorrect(knob, 0)).toBe(0);
  });
});

describe.each([
  ['north', 4, 1],
  ['south', 184, -1],
] as const)('shift by locking, %s', (hemisphere, azimuthDeg, eastward) => {
  const mount: ExactMount = {
    altitudeRad: 35 * degree,
    magneticAzimuthRad: azimuthDeg * degree,
    fieldNt: 54_000,
    dipRad: eastward * 65 * degree,
    axisInBoard: [1, 0, 0],
    ironNt: [0, 0, 0],
  };
  const model = {
    correction: {
      accelerometer: { bias: [0, 0, 0], matrix: identity3 },
      magnetometer: { bias: [0, 0, 0], matrix: identity3 },
    },
    axisInBoard: [1, 0, 0],
    sigmaAltitudeRad: 0.001,
    sigmaMagneticAzimuthRad: 0.003,
    fieldNt: 54_000,
    sigmaFieldNt: 100,
    dipRad: mount.dipRad,
    sigmaDipRad: 0.002,
  } as const;

  it('has the signs of the errors and the noise of the two rests only', () => {
    const moved = {
      ...mount,
      altitudeRad: mount.altitudeRad + 8 * arcminute,
      magneticAzimuthRad: mount.magneticAzimuthRad + eastward * 20 * arcminute,
    };
    const shift = lockShift(model, exactDwells(mount, [0.4])[0], exactDwells(moved, [0.4])[0], hemisphere);
    expect(shift.altitudeShiftRad / arcminute).toBeCloseTo(8, 6);
    expect(shift.azimuthShiftRad / arcminute).toBeCloseTo(20, 6);
    expect(shift.distanceRad / arcminute).toBeCloseTo(Math.hypot(8, 20 * Math.cos(35 * degree)), 1);
    expect(shift.sigmaAltitudeShiftRad).toBeCloseTo(0.0003 * Math.SQRT2, 9);
    expect(shift.sigmaAzimuthShiftRad).toBeLessThan(0.006);
  });
});

describe('the two rests of locking', () => {
  const shiftRad = 8 * arcminute;

  it('do not mix what was before the bolts bit with what came after, however long either lasted', () => {
    const step = new LockStep(plainAxisModel, 'north');
    const feed = axisFeeder((reading) => step.offer(reading));
    feed(2, () => -shiftRad);
    feed(4, () => 0);
    step.locking();
    feed(4, () => 0);
    feed(1.5, (share) => share * shiftRad);
    feed(3, () => shiftRad);
    expect(step.progress().restCounts).toBe(true);
    const { altitudeShiftRad, sigmaAltitudeShiftRad } = step.finish();
    expect(Math.abs(altitudeShiftRad - shiftRad)).toBeLessThan(2 * sigmaAltitudeShiftRad);
    expect(sigmaAltitudeShiftRad).toBeLessThan(1.5 * arcminute);
  });

  it('are no rest while the axis still creeps, and the rest before is not lost by that', () => {
    const step = new LockStep(plainAxisModel, 'north');
    const feed = axisFeeder((reading) => step.offer(reading));
    feed(3, () => 0);
    step.locking();
    feed(2, (share) => share * 2 * shiftRad);
    expect(step.progress()).toMatchObject({ isBeforeKept: true, restCounts: false });
    expect(() => step.finish()).toThrow(/not come to rest after locking/);
    feed(3, () => 2 * shiftRad);
    expect(step.finish().altitudeShiftRad / arcminute).toBeCloseTo(16, -0.5);
  });
});

describe('what is said of a shift by locking', () => {
  const shift = {
    altitudeShiftRad: -4.7 * arcminute,
    azimuthShiftRad: -5 * arcminute,
    distanceRad: 6.1 * arcminute,
    sigmaAltitudeShiftRad: 1 * arcminute,
    sigmaAzimuthShiftRad: 6.5 * arcminute,
    sigmaDistanceRad: 4 * arcminute,
  };

  it('names a clear shift of the altitude beside an azimuth that is hardly known', () => {
    expect(lockWords(shift)).toMatch(
      /^Locking moved the axis 5′ low, give or take 2′\. No measurable shift in azimuth \(5′ west/,
    );
    expect(lockWords({ ...shift, altitudeShiftRad: 0 })).toMatch(/^Locking: no measurable shift \(0′/);
  });

  it.each([
    // two sigmas are 2' in altitude and 13' in azimuth
    [-2.1, -12.9, '2.1′ high'],
    [1.9, 13.1, '13′ west'],
    [2.1, -13.1, '2.1′ low and 13′ east'],
    [1.9, 12.9, undefined],
  ])('%d and %d arcminutes: sets off only what is beyond two sigmas', (altitude, azimuth, set) => {
    const words = lockWords({ ...shift, altitudeShiftRad: altitude * arcminute, azimuthShiftRad: azimuth * arcminute });
    if (set === undefined) expect(words).not.toContain('nudge');
    else expect(words.replace(/(\d)\.\d+′( (?:west|east))/g, '$1′$2')).toContain(`nudge to ${set}, lock again`);
  });
});
