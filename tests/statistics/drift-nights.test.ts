import { describe, expect, it } from 'vitest';
import { arcminute, arcsecond } from '../../calibration/angle.ts';
import { adjustDrift, fitDriftLine } from '../../calibration/drift/adjustDrift.ts';
import { Random } from '../../firmware-proto/virtual/random.ts';
import { skySigma } from '../../calibration/sight/nextSight.ts';
import { driftNight } from './driftNights.ts';
import { drawNight, missRad, normalisedMiss } from './sightNights.ts';
import { summarise } from './sightSummary.ts';

describe('drift of two stars, five minutes each, a reading of 1 arcsecond every 20 s', () => {
  it('gives the axis to under 1.5 arcminutes with honest regions (small run; the bench has 1,000 nights)', () => {
    const nights = 150;
    const { medianArcmin, ratioToBound, within68, within95 } = summarise(
      Array.from({ length: nights }, (_, i) => {
        const night = drawNight(i + 1);
        const fit = driftNight(night);
        return {
          missRad: missRad(night, fit.altitudeErrorRad, fit.azimuthErrorRad),
          boundRad: skySigma(fit.axisCovariance, 2, night.site.latitudeRad),
          normalised: normalisedMiss(night, fit),
        };
      }),
    );
    expect(medianArcmin).toBeLessThan(1.5);
    expect(ratioToBound).toBeLessThan(1.15);
    expect(Math.abs(within68 - 0.68)).toBeLessThan(0.115);
    expect(Math.abs(within95 - 0.95)).toBeLessThan(0.054);
  });
});

describe('the line of a drift', () => {
  it('finds its own scatter, and its sigma holds 68 in 100 of 400 lines of 8 readings', () => {
    const random = new Random(5);
    let within = 0;
    for (let trial = 0; trial < 400; trial += 1) {
      const rate = 0.05 * arcsecond * random.normal();
      const readings = Array.from({ length: 8 }, (_, i) => ({
        timeS: 40 * i,
        starNed: [1, 0, 0] as const,
        northRad: rate * 40 * i + 2 * arcsecond * random.normal(),
      }));
      const line = fitDriftLine({ readings });
      if (Math.abs(line.rateRadPerS - rate) < line.sigmaRateRadPerS) within += 1;
    }
    expect(within / 400).toBeGreaterThan(0.64);
    expect(within / 400).toBeLessThan(0.8);
  });

  it('refuses too few readings and readings of one instant', () => {
    const reading = { timeS: 0, starNed: [1, 0, 0] as const, northRad: 0 };
    expect(() => fitDriftLine({ readings: [reading, reading] })).toThrow('2 readings');
    expect(() => fitDriftLine({ readings: [reading, reading, reading], sigmaRad: 1 })).toThrow('one instant');
    expect(() => fitDriftLine({ readings: [reading, reading, reading] })).toThrow('5 are needed');
  });

  it('of one star leaves the other direction open', () => {
    const night = drawNight(2);
    const both = driftNight(night);
    expect(both.lines).toHaveLength(2);
    const readings = Array.from({ length: 10 }, (_, i) => ({
      timeS: 30 * i,
      // on the meridian at the equator: the azimuth only
      starNed: [-Math.sin(0.7), -0.002 * i, -Math.cos(0.7)] as const,
      northRad: 0,
    }));
    const one = adjustDrift([{ readings, sigmaRad: arcsecond }], 0.7, {
      altitudeErrorRad: 0,
      azimuthErrorRad: 0,
      sigmaAltitudeErrorRad: 60 * arcminute,
      sigmaAzimuthErrorRad: 60 * arcminute,
    });
    expect(Math.sqrt(one.axisCovariance[0])).toBeGreaterThan(50 * arcminute);
    expect(Math.sqrt(one.axisCovariance[3])).toBeLessThan(5 * arcminute);
  });
});
