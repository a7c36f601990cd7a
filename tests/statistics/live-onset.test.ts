import { describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { follow, north, samplesOf, testEstimator } from '../unit/liveSamples.ts';

const seeds = 60;
const startS = 10;
const floorRad = 3e-4;

const quantile = (values: number[], share: number): number =>
  [...values].sort((a, b) => a - b)[Math.min(Math.floor(values.length * share), values.length - 1)];

/** Error of the altitude over its stated sigma, `afterS` after a bolt began to turn, for every seed. */
function inSigmas(rateDegS: number, afterS: readonly number[]): number[][] {
  const out: number[][] = afterS.map(() => []);
  for (let seed = 1; seed <= seeds; seed += 1) {
    const raisedDeg = (timeS: number): number => 1 + Math.max(0, timeS - startS) * rateDegS;
    const pose = (timeS: number) => ({ altitudeErrorDeg: raisedDeg(timeS), azimuthErrorDeg: -0.5 });
    follow(testEstimator(north), samplesOf(north, pose, startS + 1.05, seed), (timeS, estimate) => {
      const at = afterS.findIndex((after) => Math.abs(timeS - startS - after) < 0.004);
      if (at < 0) return;
      const error = estimate.altitudeErrorRad - raisedDeg(timeS) * degree;
      out[at].push(Math.abs(error) / estimate.sigmaAltitudeErrorRad);
    });
  }
  return out;
}

describe('a bolt that begins to turn', () => {
  // A straight line that starts n samples ago, in white noise s a sample, shows itself by rate * sqrt(n^3 / 3) / s sigmas and no more
  // (the matched filter; Kay, "Fundamentals of Statistical Signal Processing", vol. 2, section 4.3, from memory): at half a degree
  // a second and 2 mg a sample 0.9 sigma after 0.1 s, 2.3 after 0.2 s, 4.2 after 0.3 s. No honest sigma can see the first 0.2 s.
  it('at half a degree a second is covered as soon as it can be told from noise', () => {
    const [at025, at03, at04, at06, at1] = inSigmas(0.5, [0.25, 0.3, 0.4, 0.6, 1]);
    expect(quantile(at025, 0.5)).toBeLessThan(2.5);
    expect(quantile(at03, 0.5)).toBeLessThan(1.5);
    expect(quantile(at03, 0.9)).toBeLessThan(4);
    expect(quantile(at04, 0.9)).toBeLessThan(2);
    expect(quantile(at06, 0.9)).toBeLessThan(3.5);
    expect(quantile(at1, 0.9)).toBeLessThan(2);
  });

  it('at three degrees a second too', () => {
    const [at01, at02, at03, at1] = inSigmas(3, [0.1, 0.2, 0.3, 1]);
    for (const values of [at01, at02, at03, at1]) expect(quantile(values, 0.9)).toBeLessThan(3.2);
  });
});

it('at rest the sigma is that of the mean, nine tenths of the time', () => {
  const noises: number[] = [];
  for (let seed = 1; seed <= 20; seed += 1) {
    const samples = samplesOf(north, () => ({ altitudeErrorDeg: 1, azimuthErrorDeg: -0.5 }), 20, seed);
    follow(testEstimator(north), samples, (timeS, { sigmaAltitudeErrorRad }) => {
      if (timeS > 8) noises.push(Math.sqrt(sigmaAltitudeErrorRad ** 2 - floorRad ** 2));
    });
  }
  // 2 mg a sample, the mean of six seconds at 100 a second: 0.0816 mrad
  const ofMean = 0.002 / Math.sqrt(600);
  expect(quantile(noises, 0.5) / ofMean).toBeGreaterThan(0.95);
  expect(quantile(noises, 0.5) / ofMean).toBeLessThan(1.1);
  expect(quantile(noises, 0.9) / ofMean).toBeLessThan(1.2);
  // the rest are moments of doubt, about three arcminutes wide at most but one in a hundred
  expect(quantile(noises, 0.99)).toBeLessThan(1e-3);
});
