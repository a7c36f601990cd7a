import { describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { follow, north, readingAt, samplesOf, testEstimator, testModel, type Pose } from './liveSamples.ts';

const still: Pose = { altitudeErrorDeg: 1, azimuthErrorDeg: -0.5 };
const floorAltitude = 3e-4;
const floorAzimuth = Math.hypot(1e-3, 0.38 * degree);

describe('a board at rest', () => {
  it('the band shrinks with time down to the systematic floor and never below', () => {
    const sigmas: { timeS: number; altitude: number; azimuth: number }[] = [];
    follow(
      testEstimator(north),
      samplesOf(north, () => still, 25, 3),
      (timeS, estimate) => {
        sigmas.push({ timeS, altitude: estimate.sigmaAltitudeErrorRad, azimuth: estimate.sigmaAzimuthErrorRad });
      },
    );
    const at = (timeS: number) => sigmas[Math.round(timeS * 100)];
    expect(at(0.1).altitude).toBeGreaterThan(1.5 * floorAltitude);
    expect(at(0.1).altitude).toBeGreaterThan(at(1).altitude);
    expect(at(1).altitude).toBeGreaterThan(at(10).altitude);
    expect(at(20).altitude).toBeLessThan(1.1 * floorAltitude);
    expect(at(20).azimuth).toBeLessThan(1.02 * floorAzimuth);
    for (const { altitude, azimuth } of sigmas) {
      expect(altitude).toBeGreaterThanOrEqual(floorAltitude);
      expect(azimuth).toBeGreaterThanOrEqual(floorAzimuth);
    }
  });

  it('the band opens as the board grows colder than at its swing, or than when the needles were anchored', () => {
    const model = { ...testModel(north), temperatureC: 12 };
    const estimator = testEstimator(north, model);
    const at = { first: 0, cold: 0, anchored: 0 };
    const known = { altitudeErrorRad: 0, azimuthErrorRad: 0, sigmaAltitudeErrorRad: 1e-4, sigmaAzimuthErrorRad: 1e-4 };
    for (const sample of samplesOf(north, () => still, 60, 3)) {
      const isCold = sample.boardS > 30;
      const { sigmaAltitudeErrorRad } = estimator.offer({ ...sample, temperatureC: isCold ? 7 : 12 })!;
      if (sample.boardS === 29) at.first = sigmaAltitudeErrorRad;
      if (sample.boardS === 40) at.cold = sigmaAltitudeErrorRad;
      if (sample.boardS === 50) estimator.anchorTo(known);
      if (sample.boardS === 58) at.anchored = sigmaAltitudeErrorRad;
    }
    expect(at.first).toBeLessThan(1.1 * floorAltitude);
    expect(at.cold).toBeCloseTo(Math.hypot(at.first, 5 * 0.0003), 4);
    expect(at.anchored).toBeLessThan(at.cold / 2);
  });

  it.each([0, 0.5, 0.9])(
    'is called still, and its noise is covered, when noise carries on from sample to sample by %d',
    (memory) => {
      let moving = 0;
      let all = 0;
      let squares = 0;
      let looks = 0;
      // a false motion is rare and lasts long: six boards alone are luck
      for (let seed = 1; seed <= 18; seed += 1) {
        const samples = samplesOf(north, () => still, 25, seed, { accelG: 0.002, fieldNt: 300, memory });
        follow(testEstimator(north), samples, (timeS, estimate) => {
          if (timeS > 5) {
            all += 1;
            moving += estimate.state === 'moving' ? 1 : 0;
          }
          if (timeS > 8 && Math.round(timeS * 100) % 500 === 0) {
            const noise = Math.sqrt(estimate.sigmaAzimuthErrorRad ** 2 - floorAzimuth ** 2);
            squares += (((estimate.azimuthErrorRad / degree + 0.5) * degree) / noise) ** 2;
            looks += 1;
          }
        });
      }
      expect(moving / all).toBeLessThan(memory < 0.9 ? 0.01 : 0.25);
      expect(Math.sqrt(squares / looks)).toBeLessThan(memory < 0.9 ? 1.2 : 1.5);
      expect(Math.sqrt(squares / looks)).toBeGreaterThan(0.3);
    },
  );
});

it('the very first estimates are covered: noise that was not measured yet is not taken for none', () => {
  let outside = 0;
  let all = 0;
  for (let seed = 1; seed <= 60; seed += 1) {
    follow(
      testEstimator(north),
      samplesOf(north, () => still, 0.5, seed),
      (_, estimate) => {
        all += 2;
        outside += Math.abs(estimate.altitudeErrorRad - degree) > 2 * estimate.sigmaAltitudeErrorRad ? 1 : 0;
        outside += Math.abs(estimate.azimuthErrorRad + 0.5 * degree) > 2 * estimate.sigmaAzimuthErrorRad ? 1 : 0;
      },
    );
  }
  expect(outside / all).toBeLessThan(0.05);
});

describe('a board that moves', () => {
  it.each([
    [3, 0.4],
    [1, 1.5],
  ])('a step of %d degrees is followed to a fifth within %d s in most runs, and called moving', (stepDeg, limitS) => {
    const tookS: number[] = [];
    for (let seed = 1; seed <= 9; seed += 1) {
      let lastOff = 0;
      let wasMoving = false;
      const pose = (timeS: number): Pose =>
        timeS < 10 ? still : { altitudeErrorDeg: 1 + stepDeg, azimuthErrorDeg: -0.5 + stepDeg };
      follow(testEstimator(north), samplesOf(north, pose, 14, seed), (timeS, estimate) => {
        if (timeS < 10) return;
        wasMoving ||= estimate.state === 'moving';
        const off = Math.max(
          Math.abs(estimate.altitudeErrorRad / degree - 1 - stepDeg),
          Math.abs(estimate.azimuthErrorRad / degree + 0.5 - stepDeg),
        );
        if (off > stepDeg / 5) lastOff = timeS - 10;
      });
      expect(wasMoving).toBe(true);
      tookS.push(lastOff);
    }
    tookS.sort((a, b) => a - b);
    expect(tookS[6]).toBeLessThan(limitS);
    expect(tookS[8]).toBeLessThan(4);
  });

  it('turning in right ascension is called moving and leaves the needles where they are', () => {
    const states = new Set<string>();
    const pose = (timeS: number): Pose => ({ ...still, rollRad: timeS < 5 ? 0 : Math.min(timeS - 5, 1.5) });
    follow(testEstimator(north), samplesOf(north, pose, 10, 4), (timeS, estimate) => {
      if (timeS > 5.3 && timeS < 6.3) states.add(estimate.state);
      if (timeS > 1) expect(Math.abs(estimate.altitudeErrorRad / degree - 1)).toBeLessThan(0.15);
      if (timeS > 9) expect(estimate.state).toBe('still');
    });
    expect([...states]).toEqual(['moving']);
  });

  it('a hand that creeps is followed within the stated band nine times in ten', () => {
    let inside = 0;
    let all = 0;
    for (const rate of [0.05, 0.2]) {
      const pose = (timeS: number): Pose => ({
        altitudeErrorDeg: Math.max(timeS - 8, 0) * rate,
        azimuthErrorDeg: Math.max(timeS - 8, 0) * rate,
      });
      follow(testEstimator(north), samplesOf(north, pose, 20, 5), (timeS, estimate) => {
        if (timeS < 9) return;
        const truth = (timeS - 8) * rate * degree;
        all += 2;
        inside += Math.abs(estimate.altitudeErrorRad - truth) < 2 * estimate.sigmaAltitudeErrorRad ? 1 : 0;
        inside += Math.abs(estimate.azimuthErrorRad - truth) < 2 * estimate.sigmaAzimuthErrorRad ? 1 : 0;
      });
    }
    expect(inside / all).toBeGreaterThan(0.9);
  });
});

describe('input that is no reading', () => {
  const good = { ...readingAt(north, still) };
  it.each([
    ['NaN in the acceleration', { ...good, accelG: [NaN, 0, 1] as const }],
    ['infinite field', { ...good, fieldNt: [Infinity, 0, 0] as const }],
    ['no gravity', { ...good, accelG: [0, 0, 0] as const }],
    ['no field', { ...good, fieldNt: [0, 0, 0] as const }],
    ['a blow of 3 g', { ...good, accelG: [3, 0, 0] as const }],
  ])('%s is skipped, counted, and moves nothing', (_, bad) => {
    const estimator = testEstimator(north);
    for (let i = 0; i < 50; i += 1) estimator.offer({ ...good, boardS: i / 100 });
    expect(estimator.offer({ ...bad, boardS: 0.5 })).toBeUndefined();
    expect(estimator.skipped).toBe(1);
    const after = estimator.offer({ ...good, boardS: 0.51 });
    expect((after?.altitudeErrorRad ?? NaN) / degree).toBeCloseTo(1, 6);
    expect((after?.azimuthErrorRad ?? NaN) / degree).toBeCloseTo(-0.5, 6);
  });

  it('after a gap of the stream the needle starts afresh, with a wide band', () => {
    const estimator = testEstimator(north);
    let before = 0;
    for (const sample of samplesOf(north, () => still, 10, 6))
      before = estimator.offer(sample)?.sigmaAltitudeErrorRad ?? 0;
    const far: Pose = { altitudeErrorDeg: -2, azimuthErrorDeg: 3 };
    const after = estimator.offer({ ...readingAt(north, far), boardS: 60 });
    expect((after?.altitudeErrorRad ?? NaN) / degree).toBeCloseTo(-2, 6);
    expect(after?.sigmaAltitudeErrorRad).toBeGreaterThan(3 * before);
  });

  it('a board clock that runs backward (a restart) does not freeze the needle', () => {
    const estimator = testEstimator(north);
    for (const sample of samplesOf(north, () => still, 3, 7)) estimator.offer(sample);
    const far: Pose = { altitudeErrorDeg: -2, azimuthErrorDeg: 3 };
    const after = estimator.offer({ ...readingAt(north, far), boardS: 0 });
    expect((after?.azimuthErrorRad ?? NaN) / degree).toBeCloseTo(3, 6);
  });
});

describe('an answer from the sky', () => {
  it('is shown at once, and carried on while the bolts turn', () => {
    const estimator = testEstimator(north);
    const pose = (timeS: number): Pose => (timeS < 10 ? still : { altitudeErrorDeg: 0.5, azimuthErrorDeg: 0.5 });
    const known = {
      altitudeErrorRad: 1.3 * degree,
      azimuthErrorRad: -0.9 * degree,
      sigmaAltitudeErrorRad: 1e-3,
      sigmaAzimuthErrorRad: 1e-3,
    };
    const sigmas: number[] = [];
    follow(estimator, samplesOf(north, pose, 20, 8), (timeS, estimate) => {
      if (Math.abs(timeS - 9) < 0.005) estimator.anchorTo(known);
      if (timeS > 9.1 && timeS < 10) {
        expect(estimate.altitudeErrorRad / degree).toBeCloseTo(1.3, 1);
        expect(estimate.azimuthErrorRad / degree).toBeCloseTo(-0.9, 1);
        sigmas.push(estimate.sigmaAzimuthErrorRad);
      }
      if (timeS > 19) {
        expect(Math.abs(estimate.altitudeErrorRad / degree - 0.8)).toBeLessThan(0.05);
        expect(Math.abs(estimate.azimuthErrorRad / degree - 0.1)).toBeLessThan(0.2);
      }
    });
    // but for moments in which noise looks as if a bolt began to turn
    const narrow = sigmas.filter((sigma) => sigma < floorAzimuth / 4);
    expect(narrow.length / sigmas.length).toBeGreaterThan(0.75);
  });
});
