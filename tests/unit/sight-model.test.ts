import { describe, expect, it } from 'vitest';
import { firstOrderRoll } from '../firstOrderRoll.ts';
import { arcminute, degree, wrapPi } from '../../calibration/angle.ts';
import { largestDerivativeError } from '../derivativeCheck.ts';
import { adjustSights } from '../../calibration/sight/adjustSights.ts';
import { roughPrior } from '../../calibration/sight/sightPrior.ts';
import {
  predictedRoll,
  rollOf,
  sideWithCounterweightBelow,
  unknownCount,
  type Side,
} from '../../calibration/sight/sightModel.ts';
import { normalise, rotationAbout, apply, type Vector3 } from '../../calibration/vector.ts';
import { starNed } from '../../firmware-proto/virtual/eyepiece.ts';
import { Random } from '../../firmware-proto/virtual/random.ts';
import { drawNight, takeNight } from '../statistics/sightNights.ts';

const sides: Side[] = ['west', 'east'];
const latitudes = [47, -33.5, 62, -8].map((latitude) => latitude * degree);

function* directions() {
  for (const latitudeRad of latitudes) {
    for (let h = -150; h <= 150; h += 30) {
      for (const dec of [-60, -30, 0, 30, 60]) {
        for (const side of sides) {
          yield {
            latitudeRad,
            declinationRad: dec * degree,
            sight: { starNed: starNed(latitudeRad, { hourAngleRad: h * degree, declinationRad: dec * degree }), side },
          };
        }
      }
    }
  }
}

/** Largest difference of the exact roll from the first-order formula for errors of the given size, in arcminutes. */
function largestRemainder(size: number): number {
  let largest = 0;
  const random = new Random(7);
  for (const { latitudeRad, sight } of directions()) {
    const unknown = Float64Array.from({ length: unknownCount }, (_, j) => (j < 5 ? size * random.between(-1, 1) : 0));
    const difference = wrapPi(predictedRoll(sight, latitudeRad, unknown) - firstOrderRoll(sight, latitudeRad, unknown));
    largest = Math.max(largest, Math.abs(difference) / arcminute);
  }
  return largest;
}

describe('the roll of a sight', () => {
  it('agrees to first order with the formula of small errors, in both hemispheres and on both sides', () => {
    // What first order leaves out grows with the square of the errors; up to 60 degrees of declination:
    expect(largestRemainder(arcminute)).toBeLessThan(0.004);
    expect(largestRemainder(15 * arcminute)).toBeLessThan(0.7);
    expect(largestRemainder(degree)).toBeLessThan(11);
    expect(largestRemainder(degree)).toBeGreaterThan(1);
    expect(largestRemainder(15 * arcminute) / largestRemainder(1.5 * arcminute)).toBeGreaterThan(90);
  });

  it('has right derivatives', () => {
    const random = new Random(11);
    for (const { latitudeRad, sight } of directions()) {
      const unknown = Float64Array.from({ length: unknownCount }, () => 2 * degree * random.normal());
      const gradient = new Float64Array(unknownCount);
      const model = {
        unknowns: unknownCount,
        residuals: 1,
        evaluate: (at: Float64Array, residual: Float64Array, jacobian: Float64Array) => {
          residual[0] = predictedRoll(sight, latitudeRad, at, gradient);
          jacobian.set(gradient);
        },
      };
      expect(largestDerivativeError(model, unknown)).toBeLessThan(1e-5);
    }
  });

  it('of gravity grows with the sky by the angle through which the axis turns, in both hemispheres', () => {
    for (const latitudeRad of latitudes) {
      const axisInBoard: Vector3 = normalise([0.9, 0.3, -0.2]);
      const up: Vector3 = normalise([0.5, -0.4, 0.8]);
      const north = latitudeRad >= 0 ? 1 : -1;
      // As seen by the board, up turns right-handed about the northern end when the mount follows the sky.
      const later = apply(rotationAbout(axisInBoard, north * 0.4), up);
      const turned = wrapPi(rollOf(later, axisInBoard, latitudeRad) - rollOf(up, axisInBoard, latitudeRad));
      expect(turned).toBeCloseTo(0.4, 12);
    }
  });

  it('takes a star in the east with the tube on the west side', () => {
    expect(sideWithCounterweightBelow(-0.5)).toBe('west');
    expect(sideWithCounterweightBelow(0.5)).toBe('east');
  });
});

describe('adjustment of sights', () => {
  it('starts from one sight and leaves at its prior what that cannot tell', () => {
    const night = drawNight(3, false);
    const [{ sight }] = takeNight(night, 1, 'random');
    const fit = adjustSights([sight], night.site.latitudeRad);
    expect(Math.sqrt(fit.axisCovariance[3])).toBeGreaterThan(0.9 * roughPrior.azimuthError.sigmaRad);
    expect(fit.degreesOfFreedom).toBe(0);
  });

  it('takes the roll zero of a level counterweight shaft, and gets better by it', () => {
    const night = drawNight(4, false);
    const sights = takeNight(night, 3, 'random').map(({ sight }) => sight);
    const without = adjustSights(sights, night.site.latitudeRad, night.prior);
    const zero = adjustSights(
      takeNight(drawNight(4, false), 6, 'recommended').map(({ sight }) => sight),
      night.site.latitudeRad,
      night.prior,
    ).estimate[2];
    const withZero = adjustSights(sights, night.site.latitudeRad, {
      ...night.prior,
      rollZero: { valueRad: zero, sigmaRad: 0.1 * degree },
    });
    expect(withZero.axisCovariance[3]).toBeLessThan(without.axisCovariance[3]);
    // three rolls, and the levels of three sights less their common offset
    expect(withZero.degreesOfFreedom).toBe(5);
  });

  it('carries sights over a turn of the bolts in between', () => {
    const night = drawNight(6, false);
    const taken = takeNight(night, 6, 'recommended').map(({ sight }) => sight);
    const still = adjustSights(taken, night.site.latitudeRad, night.prior);
    const shift = { altitudeRad: 0.4 * degree, azimuthRad: -0.7 * degree };
    // The same sights told as taken before the axis was moved by -shift: the answer moves by that much.
    const carried = adjustSights(
      taken.map((sight) => ({ ...sight, moved: shift })),
      night.site.latitudeRad,
      {
        ...night.prior,
        altitudeError: {
          ...night.prior.altitudeError,
          valueRad: night.prior.altitudeError.valueRad - shift.altitudeRad,
        },
        azimuthError: { ...night.prior.azimuthError, valueRad: night.prior.azimuthError.valueRad - shift.azimuthRad },
      },
    );
    expect(carried.altitudeErrorRad).toBeCloseTo(still.altitudeErrorRad - shift.altitudeRad, 7);
    expect(carried.azimuthErrorRad).toBeCloseTo(still.azimuthErrorRad - shift.azimuthRad, 7);
  });

  it('refuses no sight and a number that is none', () => {
    expect(() => adjustSights([], 0.7)).toThrow(RangeError);
    const [{ sight }] = takeNight(drawNight(5), 1, 'random');
    expect(() => adjustSights([{ ...sight, rollRad: NaN }], 0.7)).toThrow(RangeError);
  });
});
