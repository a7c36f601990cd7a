// What a swing says of slips that leave the rests in order: another axis, the mount's back, a dead magnetometer, a wrong site.
import { describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { decisive } from '../../calibration/gate.ts';
import { fitSwing } from '../../calibration/swing/fitSwing.ts';
import type { Dwell, SwingSite } from '../../calibration/swing/types.ts';
import { exactCalibration, exactDwells, type ExactMount } from './swingExact.ts';

const rolls = Array.from({ length: 9 }, (_, i) => i * 35 * degree);

describe.each([
  ['north', 47 * degree, 67 * degree, 0],
  ['south', 33 * degree, -64 * degree, 180 * degree],
])('a swing in the %s', (_, latitudeRad, dipRad, poleAzimuthRad) => {
  const site: SwingSite = {
    pole: { altitudeRad: latitudeRad, azimuthRad: poleAzimuthRad },
    variationRad: 14 * degree,
    sigmaVariationRad: 0.3 * degree,
    fieldNt: 53_000,
    sigmaFieldNt: 138,
    dipRad,
    sigmaDipRad: 0.2 * degree,
  };
  const right: ExactMount = {
    altitudeRad: latitudeRad + degree,
    magneticAzimuthRad: poleAzimuthRad - 2 * degree,
    fieldNt: 53_000,
    dipRad,
    axisInBoard: [0.99, 0.1, Math.sqrt(1 - 0.99 ** 2 - 0.01)],
    ironNt: [3000, -6000, 2000],
  };
  const told = (dwells: readonly Dwell[], at = site) => {
    const { gates, accepted } = fitSwing([dwells], exactCalibration(right), { site: at });
    return { accepted, gate: decisive(gates) };
  };

  it('says nothing where nothing is wrong', () =>
    expect(told(exactDwells(right, rolls))).toEqual({ accepted: true, gate: undefined }));

  it.each([
    ['the mount stands the wrong way round', { magneticAzimuthRad: right.magneticAzimuthRad + Math.PI }],
    ['the declination axis was turned', { altitudeRad: 3 * degree, magneticAzimuthRad: poleAzimuthRad + Math.PI / 2 }],
  ])('refuses because %s, and speaks of no bolt and nothing that moved', (__, wrong) => {
    const { accepted, gate } = told(exactDwells({ ...right, ...wrong }, rolls));
    expect(accepted).toBe(false);
    expect(gate?.reason).toMatch(/distance of the axis from the elevated pole/);
    expect(gate?.nextAction).toMatch(/not the declination axis[^]*points to the pole/);
    expect(gate?.value).toBeGreaterThan(80);
  });

  it('knows a magnetometer that always reads the same', () => {
    const dwells = exactDwells(right, rolls);
    const { accepted, gate } = told(dwells.map((dwell) => ({ ...dwell, fieldNt: dwells[0].fieldNt })));
    expect(accepted).toBe(false);
    expect(gate?.nextAction).toMatch(/wires and the supply of the magnetometer/);
  });

  it('asks whether the longitude is east or west, where the dip is off by some degrees', () => {
    const { accepted, gate } = told(exactDwells(right, rolls), { ...site, dipRad: dipRad * 0.92 });
    expect(accepted).toBe(true);
    expect(gate).toMatchObject({ verdict: 'caution', limit: 3, nextAction: expect.stringMatching(/east or west/) });
  });

  it('thinks of rows on the way where rows stood for rests', () => {
    const dwells = exactDwells(right, rolls).map((dwell, i) => ({
      ...dwell,
      samples: 1,
      accelG: i % 2 === 0 ? dwell.accelG : ([dwell.accelG[0] + 0.05, dwell.accelG[1], dwell.accelG[2]] as const),
    }));
    expect(told(dwells).gate?.nextAction).toMatch(/rows were recorded while the axis turned/);
  });
});
