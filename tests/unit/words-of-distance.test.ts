// The sentence below the needles must not call an axis as near as can be told beside a bolt that is to be turned.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { sigmaDistanceRad } from '../../calibration/live/distance.ts';
import { distanceWords, type AxisStanding } from '../../host/words/distance.ts';
import { giveOrTake, readingUnit, readingWords } from '../../host/words/reading.ts';
import { instructionWords } from '../../host/words/instruction.ts';

const minute = 1 / 60;
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
    [20, 2, 3, 23, /^Within 5\d′ of the pole; the altitude can be bettered\.$/],
    [1, 2, 30, 23, /^Within 1\.3° of the pole; the azimuth can be bettered\.$/],
    [5, 2, 30, 23, /^Within 1\.3° of the pole; both axes can be bettered\.$/],
    [1, 2, 3, 23, /^As near to the pole as this can tell: within 4\d′\.$/],
    [120, 2, 3, 23, /^2\.0\d?° from the pole, give or take/],
  ])('altitude %i +-%i, azimuth %i +-%i arcminutes', (altitude, sigmaAltitude, azimuth, sigmaAzimuth, words) => {
    const axis = standing(altitude * minute, sigmaAltitude * minute, azimuth * minute, sigmaAzimuth * minute);
    expect(distanceWords(axis)).toMatch(words);
  });

  it('is never as near as can be told while a bolt is named', () => {
    const error = fc.double({ min: -3, max: 3, noNaN: true });
    const sigma = fc.double({ min: 0.01, max: 1, noNaN: true });
    fc.assert(
      fc.property(error, sigma, error, sigma, (altitude, sigmaAltitude, azimuth, sigmaAzimuth) => {
        const words = distanceWords(standing(altitude, sigmaAltitude, azimuth, sigmaAzimuth));
        const bolts = [
          instructionWords('altitude', altitude, sigmaAltitude),
          instructionWords('azimuth', azimuth, sigmaAzimuth),
        ];
        if (words.startsWith('As near')) expect(bolts.join(' ')).not.toMatch(/Raise|Lower|Move/);
      }),
      { numRuns: 500, seed: 5 },
    );
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
