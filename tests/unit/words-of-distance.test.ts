// The sentence below the needles must not call an axis as near as can be told beside a bolt that is to be turned.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { sigmaDistanceRad } from '../../calibration/live/distance.ts';
import { clipOnlyModel, uncalibratedModel } from '../../calibration/live/uncalibrated.ts';
import { distanceWords, type AxisStanding } from '../../host/words/distance.ts';
import { giveOrTake, readingUnit, readingWords } from '../../host/words/reading.ts';
import { north, testModel } from './liveSamples.ts';
import { instructionWords } from '../../host/words/instruction.ts';

const minute = 1 / 60;
const atRest = { isAtRest: true, isAnchored: false };
const standing = (altitude: number, sigmaAltitude: number, azimuth: number, sigmaAzimuth: number): AxisStanding => ({
  altitudeErrorDeg: altitude,
  sigmaAltitudeErrorDeg: sigmaAltitude,
  azimuthErrorDeg: azimuth,
  sigmaAzimuthErrorDeg: sigmaAzimuth,
  distanceDeg: Math.hypot(altitude, azimuth),
  sigmaDistanceDeg: sigmaDistanceRad(altitude, azimuth, sigmaAltitude, sigmaAzimuth),
});

describe('how near the pole the axis stands', () => {
  it.each([
    [20, 2, 3, 23, /^Within 5\d′ of the pole\. The altitude can still be improved\.$/],
    [1, 2, 30, 23, /^Within 1\.3° of the pole\. The azimuth can still be improved\.$/],
    [5, 2, 30, 23, /^Within 1\.3° of the pole\. Both axes can still be improved\.$/],
    [1, 2, 3, 23, /^Within 4\d′ of the pole: as close as the compass can show\.$/],
    [120, 2, 3, 23, /^2\.0\d?° from the pole, give or take/],
  ])('altitude %i +-%i, azimuth %i +-%i arcminutes', (altitude, sigmaAltitude, azimuth, sigmaAzimuth, words) => {
    const axis = standing(altitude * minute, sigmaAltitude * minute, azimuth * minute, sigmaAzimuth * minute);
    expect(distanceWords(axis, atRest)).toMatch(words);
  });

  it('is never as near as can be told while a bolt is named', () => {
    const error = fc.double({ min: -3, max: 3, noNaN: true });
    const sigma = fc.double({ min: 0.01, max: 1, noNaN: true });
    fc.assert(
      fc.property(error, sigma, error, sigma, (altitude, sigmaAltitude, azimuth, sigmaAzimuth) => {
        const words = distanceWords(standing(altitude, sigmaAltitude, azimuth, sigmaAzimuth), atRest);
        const bolts = [
          instructionWords('altitude', altitude, sigmaAltitude),
          instructionWords('azimuth', azimuth, sigmaAzimuth),
        ];
        if (words.includes('as close as')) expect(bolts.join(' ')).not.toMatch(/Raise|Lower|Move/);
      }),
      { numRuns: 500, seed: 5 },
    );
  });
});

describe('that no better can be shown', () => {
  const near = standing(1 * minute, 2 * minute, 3 * minute, 23 * minute);

  it('is said at rest only, and of the sky where the needles rest on it', () => {
    expect(distanceWords(near, { ...atRest, isAtRest: false })).toMatch(/^Within 4\d′ of the pole\.$/);
    expect(distanceWords(near, { ...atRest, isAnchored: true })).toMatch(
      /: as close as tonight's measurements can show\.$/,
    );
  });

  it('is never said before a tumble and a swing', () => {
    const field = { fieldNt: 50_000, horizontalNt: 21_000, dipRad: 65 * degree };
    const tumble = {
      correction: testModel(north).correction,
      sigmaTiltRad: 1e-4,
      sigmaHeadingRad: 2e-3,
      fieldNt: 50_000,
      dipRad: 65 * degree,
      sigmaDipRad: 1e-3,
    };
    for (const model of [uncalibratedModel(field), clipOnlyModel(tumble)]) {
      const [altitude, azimuth] = [model.sigmaAltitudeRad / degree, model.sigmaMagneticAzimuthRad / degree];
      for (const share of [0, 0.4, 0.9, 1.5])
        expect(distanceWords(standing(0.3 * altitude, altitude, share * azimuth, azimuth), atRest)).not.toContain(
          'as close as',
        );
      expect(distanceWords(standing(0, altitude, 0, azimuth), atRest)).toBe('How far from the pole: cannot tell yet.');
    }
    // one axis alone unknown is enough
    expect(distanceWords(standing(0, 0.03, 0, 2.5), atRest)).toContain('cannot tell yet');
    expect(distanceWords(standing(0, 2.5, 0, 0.4), atRest)).toContain('cannot tell yet');
  });
});

describe('the unit of a reading', () => {
  it.each([
    [0.33, 0.4, '20′ east, give or take 48′'],
    [0.33, 0.51, '0.3° east, give or take 1.0°'],
    [-1.81, 0.035, '1.81° west, give or take 0.07°'],
  ])('of %d degrees, one sigma %d, rests on nothing but these', (errorDeg, sigmaDeg, words) => {
    const unit = readingUnit(errorDeg, sigmaDeg);
    expect(`${readingWords('azimuth', errorDeg, sigmaDeg, unit)}, ${giveOrTake(sigmaDeg, unit)}`).toBe(words);
  });
});
