// What the hand and the logger add to a tumble's readings: the lever about the wrist, and a magnetometer that is read late.
import { describe, expect, it } from 'vitest';
import { largestDerivativeError } from '../derivativeCheck.ts';
import { degree } from '../../calibration/angle.ts';
import { correct } from '../../calibration/correction.ts';
import { fitTumble } from '../../calibration/tumble/fit.ts';
import { handledStart, modelFor } from '../../calibration/tumble/handling.ts';
import { whiteningOf } from '../../calibration/tumble/invariants.ts';
import { packReadings } from '../../calibration/tumble/readings.ts';
import { attitudeSigma } from '../../calibration/tumble/propagate.ts';
import type { TumbleSample } from '../../calibration/tumble/types.ts';
import { Random } from '../../firmware-proto/virtual/random.ts';
import {
  attitudeError,
  chipProfiles,
  exactReading,
  noisyReading,
  randomAttitude,
  randomBoard,
  tumbleOf,
  type RandomBoard,
} from '../statistics/tumble-boards.ts';
import { handTumble } from '../statistics/tumble-hand.ts';

const hand = {
  seconds: 40,
  samplesPerS: 100,
  rateRadPerS: 0.8,
  rateTimeS: 1.5,
  leverM: 0.03,
  jitterG: 0,
  jitterTimeS: 0.1,
  restS: 0,
  turnS: 4,
};

function turned(seed: number): { board: RandomBoard; samples: TumbleSample[] } {
  const random = new Random(seed);
  const board = randomBoard(random);
  return { board, samples: handTumble(random, board, chipProfiles.typical, hand) };
}

/** Rms error of heading over attitudes, and the same over its stated sigma. */
function headingOf({ board, samples }: { board: RandomBoard; samples: TumbleSample[] }) {
  const result = fitTumble(samples, { site: board.site });
  const random = new Random(1);
  const attitudes = 12;
  let [squared, overSigma] = [0, 0];
  if (!result.calibration) throw new Error(result.gates.map(({ reason }) => reason).join());
  const { correction } = result.calibration;
  for (let i = 0; i < attitudes; i += 1) {
    const { up, field } = randomAttitude(random, board.dipRad);
    const { accelG, fieldNt } = exactReading(board, up, field);
    const found = [correct(correction.accelerometer, accelG), correct(correction.magnetometer, fieldNt)] as const;
    const error = attitudeError(...found, up, field)[2];
    squared += error ** 2 / attitudes;
    overSigma += (error / attitudeSigma(result.calibration, accelG, fieldNt).sigmaHeadingRad) ** 2 / attitudes;
  }
  return { result, headingDeg: Math.sqrt(squared) / degree, overSigma: Math.sqrt(overSigma) };
}

/** The field as it was read `rows` readings before. */
const late = (samples: readonly TumbleSample[], rows: number): TumbleSample[] =>
  samples.slice(rows).map((sample, i) => ({ ...sample, fieldNt: samples[i].fieldNt }));

describe('how long it was turned and rested', () => {
  it('a tumble that ends as it begins is called short', () => {
    const { board, samples } = turned(50);
    const [first] = fitTumble(samples.slice(0, 200), { site: board.site }).gates;
    expect(first.verdict).toBe('stop');
    expect(first.reason).toMatch(/too short: the board was turned by \d+ degrees/);
    expect(first.value).toBeCloseTo(1.99, 6);
  });

  it('a rest ten times as long as the tumble does not make it flat', () => {
    const { board, samples } = turned(51);
    const random = new Random(51);
    const { up, field } = randomAttitude(random, board.dipRad);
    const exact = exactReading(board, up, field);
    const rest = Array.from({ length: 10 * samples.length }, (_, i) => ({
      ...noisyReading(random, exact, chipProfiles.typical),
      boardS: hand.seconds + 1 + i / hand.samplesPerS,
    }));
    const { accepted, gates } = fitTumble([...samples, ...rest], { site: board.site });
    expect(gates.filter(({ verdict }) => verdict === 'stop')).toEqual([]);
    expect(accepted).toBe(true);
  });
});

describe('lever and lag', () => {
  it('have the derivatives that differences of the model give', () => {
    const random = new Random(3);
    const board = randomBoard(random);
    const { readings } = packReadings(tumbleOf(random, board, chipProfiles.typical, 30), 1, 1);
    const numbers = (size: number, sigma: number): Float64Array =>
      Float64Array.from({ length: size * 30 }, () => sigma * random.normal());
    const motion = {
      classes: new Uint8Array(30),
      perLever: numbers(9, 0.1),
      perLag: numbers(3, 40_000),
      perLagSquared: numbers(3, 40_000),
    };
    const at = handledStart(board.truth);
    at.set([0.05, -0.08, 0.03, 0.04], board.truth.length);
    const whitening = whiteningOf(readings, board.fieldNt, board.truth, chipProfiles.typical);
    expect(largestDerivativeError(modelFor(board.fieldNt, motion)(readings, whitening), at)).toBeLessThan(1e-5);
  });

  it.each([2, 5, 10])('a magnetometer that is %i0 ms late is found and does no harm', (rows) => {
    const { board, samples } = turned(20 + rows);
    const { result, headingDeg, overSigma } = headingOf({ board, samples: late(samples, rows) });
    const lag = result.gates.find(({ reason }) => reason.includes('later than the accelerometer'));
    expect(lag?.value).toBeGreaterThan(10 * rows * 0.85);
    expect(lag?.value).toBeLessThan(10 * rows * 1.1);
    // Taken for readings of one instant, 50 ms cost 2.5 degrees and 100 ms nearly four.
    expect(headingDeg).toBeLessThan(0.6);
    expect(overSigma).toBeLessThan(2);
  });

  it.each([2, 5, 10])('a magnetometer that is read anew in every %i-th row only does no harm', (every) => {
    const { board, samples } = turned(40 + every);
    const held = samples.map((sample, i) => ({ ...sample, fieldNt: samples[i - (i % every)].fieldNt }));
    const { result, headingDeg, overSigma } = headingOf({ board, samples: held });
    expect(result.gates.find(({ verdict }) => verdict === 'caution')?.reason).toMatch(/magnetometer is slower/);
    expect(result.samplesUsed + result.samplesRejected).toBe(samples.length);
    // Taken as read, every tenth cost 1.2 degrees, twice what was stated.
    expect(headingDeg).toBeLessThan(0.5);
    expect(overSigma).toBeLessThan(2);
  });

  it('rows that stand in a file twice count once', () => {
    const { board, samples } = turned(40);
    const twice = samples.flatMap((sample, i) => [sample, { ...sample, boardS: (i + 0.5) / hand.samplesPerS }]);
    const [once, doubled] = [samples, twice].map((each) => fitTumble(each, { site: board.site }));
    expect(doubled.samplesUsed).toBe(once.samplesUsed);
    expect(doubled.calibration?.sigmaHeadingRad).toBeCloseTo(once.calibration?.sigmaHeadingRad ?? NaN, 6);
  });

  it('no lag is found where there is none', () => {
    const { result } = headingOf(turned(20));
    expect(result.gates.find(({ unit }) => unit === 'ms')?.value).toBeLessThan(1);
  });
});
