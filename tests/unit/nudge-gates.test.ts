// What makes a star do for a nudge or not, against closed formulas of the sphere.
import { describe, expect, it } from 'vitest';
import { arcminute, degree } from '../../calibration/angle.ts';
import { decisive } from '../../calibration/gate.ts';
import { nudgeGates, readingSigma, stepsInField } from '../../calibration/nudge/gates.ts';
import { toNed } from '../../calibration/polarAxis.ts';

const home = { altitudeErrorRad: 0, azimuthErrorRad: 0 };
const star = (altitudeDeg: number, azimuthDeg: number) =>
  toNed({ altitudeRad: altitudeDeg * degree, azimuthRad: azimuthDeg * degree });
const gatesAt = (latitudeDeg: number, altitudeDeg: number, azimuthDeg: number, errors = home) => {
  const [latitude, altitude, pole, zenith, worth, axis] = nudgeGates(
    star(altitudeDeg, azimuthDeg),
    latitudeDeg * degree,
    errors,
  );
  return { latitude, altitude, pole, zenith, worth, axis };
};
/** Bolts turn about east and down: the motions of a star s are s x east and s x down, their determinant the north part of s. */
function spreadOf(latitudeDeg: number, altitudeDeg: number, azimuthDeg: number): number {
  const [north, east, down] = star(altitudeDeg, azimuthDeg);
  const level = Math.cos(latitudeDeg * degree);
  return (Math.hypot(Math.sqrt(1 - east ** 2), Math.sqrt(1 - down ** 2) / level) * level) / Math.abs(north);
}

describe('a star for a nudge', () => {
  it.each([47, -47])('does near the meridian, at latitude %d', (latitudeDeg) => {
    const gates = gatesAt(latitudeDeg, 35, latitudeDeg > 0 ? 170 : 10);
    expect(Object.values(gates).map(({ verdict }) => verdict)).toEqual(Array(6).fill('ok'));
    expect(gates.latitude.value).toBeCloseTo(47, 9);
    expect(gates.altitude.value).toBeCloseTo(35, 9);
    expect(gates.zenith.value).toBeCloseTo(35, 9);
    expect(gates.axis.value).toBeCloseTo(0, 6);
    expect(gates.worth.value).toBeCloseTo(spreadOf(47, 35, 170), 9);
    expect(gates.worth.limit).toBe(3);
    expect(gates.altitude.limit).toBe(12);
    // sine of the declination by the triangle of pole, zenith and star
    const [sin, cos] = [Math.sin, Math.cos].map((f) => (deg: number) => f(deg * degree));
    const declinationDeg = Math.asin(sin(47) * sin(35) + cos(47) * cos(35) * cos(170)) / degree;
    expect(gates.pole.value).toBeCloseTo(90 + declinationDeg, 9);
  });

  it('is refused near a pole of the Earth', () => {
    expect(gatesAt(-84.9, 40, 20).latitude.verdict).toBe('ok');
    const { latitude } = gatesAt(-85.1, 40, 20);
    expect([latitude.verdict, latitude.limit]).toEqual(['stop', 85]);
    expect(latitude.value).toBeCloseTo(85.1, 9);
  });

  it.each([
    [-0.1, 'stop', 0, 'the star is below the horizon'],
    [0.1, 'caution', 12, 'the star is low: the air bends its light'],
    [11.9, 'caution', 12, 'the star is low: the air bends its light'],
    [12.1, 'ok', 12, 'the star is low: the air bends its light'],
  ])('%d degrees high: %s', (altitudeDeg, verdict, limit, reason) => {
    const { altitude } = gatesAt(47, altitudeDeg, 180);
    expect(altitude).toMatchObject({ verdict, limit, reason });
  });

  it('on the horizon itself is not up', () => {
    const gate = nudgeGates([-1, 0, 0], 47 * degree, home)[1];
    expect(gate).toMatchObject({ verdict: 'stop', limit: 0, reason: 'the star is below the horizon' });
    expect(gate.value).toBeCloseTo(0, 12);
  });

  it('is refused near the celestial pole and near the zenith', () => {
    expect(gatesAt(30, 35.1, 0).pole.verdict).toBe('ok');
    expect(gatesAt(30, 34.8, 0).pole.verdict).toBe('stop');
    expect(gatesAt(30, 34.8, 0).pole.value).toBeCloseTo(4.8, 9);
    expect(gatesAt(30, 84.9, 180).zenith.verdict).toBe('ok');
    expect(gatesAt(30, 85.1, 180).zenith.verdict).toBe('stop');
  });

  it.each([
    // nearly in the east, where the line stands about which the altitude bolt turns
    [47, 6, 84, 'caution', 'the altitude bolt hardly moves this star'],
    [47, 80, 100, 'stop', 'the azimuth bolt hardly moves this star'],
    // in the plane of both bolts' lines
    [47, 45, 92, 'stop', 'both bolts move this star nearly the same way'],
    [47, 40, 250, 'caution', 'both bolts move this star nearly the same way'],
    [47, 40, 215, 'ok', 'both bolts move this star nearly the same way'],
  ])('at %d degrees north, %d high, azimuth %d: %s, %s', (latitudeDeg, altitudeDeg, azimuthDeg, verdict, reason) => {
    const { worth } = gatesAt(latitudeDeg, altitudeDeg, azimuthDeg);
    expect(worth).toMatchObject({ verdict, reason });
    expect(worth.value / spreadOf(latitudeDeg, altitudeDeg, azimuthDeg)).toBeCloseTo(1, 9);
    expect(worth.limit).toBe(verdict === 'stop' ? 10 : 3);
  });

  it('which tells nothing of one bolt is told as a thousandfold error, and refused', () => {
    const gate = nudgeGates([0, 0.6, -0.8], 47 * degree, home)[4];
    expect(gate).toMatchObject({ verdict: 'stop', value: 1000, limit: 10 });
  });

  it.each([47, -47])('does for an axis within five degrees of the pole, at latitude %d', (latitudeDeg) => {
    for (const [azimuthDeg, verdict] of [
      [5.5, 'ok'],
      [6.5, 'stop'],
    ] as const) {
      const errors = { altitudeErrorRad: 3 * degree, azimuthErrorRad: azimuthDeg * degree };
      const { axis } = gatesAt(latitudeDeg, 35, 170, errors);
      const [sin, cos] = [Math.sin, Math.cos].map((f) => (deg: number) => f(deg * degree));
      const distanceDeg = Math.acos(sin(47) * sin(50) + cos(47) * cos(50) * cos(azimuthDeg)) / degree;
      expect(axis).toMatchObject({ verdict, limit: 5 });
      expect(axis.value).toBeCloseTo(distanceDeg, 6);
    }
  });

  it('is judged by the first gate that stops', () => {
    const below = nudgeGates(star(-3, 90), 47 * degree, { ...home, altitudeErrorRad: 7 * degree });
    expect(decisive(below)?.reason).toBe('the star is below the horizon');
  });
});

describe('the field', () => {
  it('is left to a fifth of its radius, in equal steps', () => {
    // a field of 50 minutes leads a star 20 minutes out
    for (const [shift, steps] of [
      [0, 1],
      [20, 1],
      [20.1, 2],
      [40, 2],
      [59, 3],
    ])
      expect(stepsInField(shift * arcminute, 50 * arcminute)).toBe(steps);
  });

  it('is read to a twentieth of its radius, a fifth of a division, or a pixel', () => {
    expect(readingSigma.inField(60 * arcminute) / arcminute).toBeCloseTo(1.5, 12);
    expect(readingSigma.inDivisions(0.3 * arcminute) / arcminute).toBeCloseTo(0.065, 12);
    expect(readingSigma.inPixels(0.06 * arcminute) / arcminute).toBeCloseTo(0.065, 12);
  });
});
