// A board without a thermometer does not tell how far its chips have drifted: the stated sigmas allow for it.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it, onTestFinished, vi } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { truePole } from '../../calibration/polarAxis.ts';
import type { Dwell, SwingSite } from '../../calibration/swing/types.ts';
import { untoldChangeC } from '../../calibration/warmth.ts';
import { FastBoard } from '../../firmware-proto/virtual/fastBoard.ts';
import { createWorld } from '../../firmware-proto/virtual/world.ts';
import type { BoardSample } from '../../host/link/boardSample.ts';
import { SampleScale } from '../../host/link/sampleScale.ts';
import { SamplesAveraged } from '../../host/link/samplesAveraged.ts';
import { needlesJson } from '../../host/live/needlesJson.ts';
import type { Needles } from '../../host/live/session.ts';
import { errorsAtRest } from '../../host/steps/nudge.ts';
import { TumbleStep } from '../../host/steps/tumbleStep.ts';
import { findAxisModel, findCalibration, saveCalibration, saveSwing } from '../../host/store/profile.ts';
import { north, readingAt, testEstimator, testModel } from './liveSamples.ts';
import { exactCalibration } from './swingExact.ts';

const { hello: warm } = new FastBoard(createWorld('orchard', { seed: 4 }));
const bare = { ...warm, boardId: '0000BA2E', temperature: { cPerCount: 0, cAtZero: 20 } };
const site = { latitudeRad: 46 * degree, longitudeRad: -118 * degree, elevationM: 300 };
const still = { altitudeErrorDeg: 1, azimuthErrorDeg: -0.5 };

describe('a board without a thermometer', () => {
  it('has no temperature: not that of its count 0', () => {
    const sample = { kind: 'sample', seq: 1, micros: 1, accel: [1, 2, 3], field: [1, 2, 3], temperature: 0 } as const;
    expect(new SampleScale({ ...bare, kind: 'hello' }).temperatureC(sample)).toBeUndefined();
    expect(new SampleScale({ ...warm, kind: 'hello' }).temperatureC(sample)).toBe(warm.temperature.cAtZero);
  });

  it('has none in a mean, nor after a tumble, and null in JSON', () => {
    const sampleAt = (i: number): BoardSample => ({
      ...readingAt(north, { ...still, rollRad: i / 20 }),
      arrivalS: i / 100,
      boardS: i / 100,
      sequence: i,
    });
    const mean = new SamplesAveraged(250);
    expect(mean.offer(sampleAt(0))).toBeUndefined();
    expect(mean.offer(sampleAt(1))).not.toHaveProperty('temperatureC');
    const tumble = new TumbleStep();
    for (let i = 0; i < 200; i += 1) tumble.offer(sampleAt(i));
    expect(tumble.finish().temperatureC).toBeUndefined();
    const needles = { state: 'still', utcMs: 0, arrivalS: 0, fieldDeviationSigmas: 0 } as Needles;
    expect(needlesJson(needles, 'test', '', 0)).toMatchObject({ temperatureC: null });
    expect(needlesJson({ ...needles, temperatureC: 7.254 }, 'test', '', 0)).toMatchObject({ temperatureC: 7.25 });
  });

  it('is allowed two degrees an hour since its tumble and swing, ten at most, and says so', async () => {
    const home = mkdtempSync(join(tmpdir(), 'lodepole-bare-'));
    vi.stubEnv('LODEPOLE_HOME', home);
    const savedMs = Date.UTC(2026, 10, 28, 18);
    vi.useFakeTimers({ toFake: ['Date'], now: savedMs });
    onTestFinished(() => {
      vi.useRealTimers();
      vi.unstubAllEnvs();
      rmSync(home, { recursive: true });
    });
    const calibration = exactCalibration({ fieldNt: 53_000, dipRad: 1.1 });
    const model = testModel(north);
    for (const hello of [bare, warm]) {
      await saveCalibration(hello, calibration);
      await saveSwing(hello, site, { axisModel: model });
    }
    const after = async (hours: number, hello: typeof bare) => {
      vi.setSystemTime(savedMs + hours * 3_600_000);
      const [tumbled, swung] = [await findCalibration(hello), await findAxisModel(hello, site)];
      if (!('calibration' in tumbled) || !('model' in swung)) throw new Error('nothing kept');
      return {
        tiltRad: tumbled.calibration.sigmaTiltRad,
        altitudeRad: swung.model.sigmaAltitudeRad,
        azimuthRad: swung.model.sigmaMagneticAzimuthRad,
        words: [...tumbled.cautions, ...swung.cautions].join(' '),
      };
    };
    // 0.3 mg and 20 nT a degree (calibration/warmth.ts): three hours are six degrees
    const evening = await after(3, bare);
    expect(evening.tiltRad).toBeCloseTo(Math.hypot(calibration.sigmaTiltRad, Math.SQRT2 * 6 * 0.0003), 9);
    expect(evening.altitudeRad).toBeCloseTo(Math.hypot(model.sigmaAltitudeRad, 6 * 0.0003), 9);
    const [horizontalNt, tanDip] = [54_500 * Math.cos(68 * degree), Math.tan(68 * degree)];
    expect(evening.azimuthRad).toBeCloseTo(
      Math.hypot(model.sigmaMagneticAzimuthRad, (6 * 20) / horizontalNt, 6 * 0.0003 * tanDip),
      9,
    );
    expect(evening.words).toMatch(
      /no thermometer, and its swing is not fresh: the uncertainty allows for a temperature change of 6 degrees/,
    );
    expect((await after(0.5, bare)).words).toBe('');
    expect((await after(14, bare)).altitudeRad).toBeCloseTo(Math.hypot(model.sigmaAltitudeRad, 10 * 0.0003), 9);
    const told = await after(3, warm);
    expect([told.altitudeRad, told.tiltRad]).toEqual([model.sigmaAltitudeRad, calibration.sigmaTiltRad]);
    expect(told.words).toBe('');
  });

  it('opens the band of the needles with the time since they started, or were anchored', () => {
    const estimator = testEstimator(north);
    const reading = readingAt(north, still);
    const sigmaAt: number[] = [];
    const known = { altitudeErrorRad: 0, azimuthErrorRad: 0, sigmaAltitudeErrorRad: 1e-4, sigmaAzimuthErrorRad: 1e-4 };
    for (let s = 0; s <= 10_800; s += 1) {
      sigmaAt.push(estimator.offer({ ...reading, boardS: s })!.sigmaAltitudeErrorRad);
      if (s === 7200) estimator.anchorTo(known);
    }
    expect(sigmaAt[7200] ** 2 - sigmaAt[60] ** 2).toBeCloseTo((4 * 0.0003) ** 2 - (0.0003 / 30) ** 2, 8);
    expect(sigmaAt[10_800] ** 2 - sigmaAt[7260] ** 2).toBeCloseTo((2 * 0.0003) ** 2, 8);
    expect(untoldChangeC(-5)).toBe(0);
  });

  it.each([
    [undefined, undefined, 1],
    [undefined, 11, 1],
    [7, undefined, 1],
    [7, 11, 4],
    [12.5, 11, 1.5],
    [11, 11, 0],
  ])('counts a rest at %s degrees C after a swing at %s as changed by %s', (restC, swingC, changeC) => {
    const site = { pole: truePole(47 * degree), variationRad: 14 * degree, sigmaVariationRad: 0.002 };
    const model = { ...testModel(north, 3e-4, 1e-3), temperatureC: swingC };
    const rest = { ...readingAt(north, still), sigmaAccelG: 0, sigmaFieldNt: 0, temperatureC: restC } as Dwell;
    const told = errorsAtRest(model, site as SwingSite, rest, { deviationRad: 0, sigmaDeviationRad: 0.004 });
    // 0.3 mg and 20 nT a degree; of the field across the horizontal one, of the vertical by the tangent of the dip
    const azimuthPerC = Math.hypot(20 / (54_500 * Math.cos(68 * degree)), 0.0003 * Math.tan(68 * degree));
    expect(told.sigmaAltitudeErrorRad).toBeCloseTo(Math.hypot(3e-4, 0.0003 * changeC), 9);
    expect(told.sigmaAzimuthErrorRad).toBeCloseTo(Math.hypot(1e-3, 0.002, 0.004, azimuthPerC * changeC), 9);
  });
});
