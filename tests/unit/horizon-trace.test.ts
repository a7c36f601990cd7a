// Sweeping the board's x arrow along the tree line, live.
import { describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { toNed } from '../../calibration/polarAxis.ts';
import { cross, dot, identity3, normalise, type Vector3, vector3 } from '../../calibration/vector.ts';
import { isHidden } from '../../host/site/horizon.ts';
import { TraceStep } from '../../host/steps/traceStep.ts';

const none = { bias: [0, 0, 0] as Vector3, matrix: identity3 };
const variationRad = 4 * degree;
const dipRad = 67 * degree;

/** What a board reads whose x arrow points somewhere, its z side up. */
function reading(azimuthDeg: number, altitudeDeg: number) {
  const x = toNed({ azimuthRad: azimuthDeg * degree, altitudeRad: altitudeDeg * degree });
  const y = normalise(cross([0, 0, -1], x));
  const z = cross(x, y);
  const inBoard = (v: Vector3): Vector3 => [dot(v, x), dot(v, y), dot(v, z)];
  const north = toNed({ azimuthRad: variationRad, altitudeRad: -dipRad });
  return { accelG: inBoard([0, 0, -1]), fieldNt: inBoard(vector3(north.map((part) => part * 52_000))) };
}

describe('tracing the horizon', () => {
  const step = (): TraceStep => new TraceStep({ accelerometer: none, magnetometer: none }, variationRad);
  const sweep = (to: TraceStep, altitudeAt: (azimuthDeg: number) => number, fromS: number): void => {
    for (let i = 0; i < 360; i += 1) to.offer({ boardS: fromS + i / 10, ...reading(i, altitudeAt(i)) });
  };

  it('marks what is swept, with two degrees added, and nothing of the way from the clip into the hand', () => {
    const trace = step();
    // in its clip the arrow points to the pole; on the way up it passes the zenith
    for (let i = 0; i < 29; i += 1) trace.offer({ boardS: i / 10, ...reading(180, 33 + 2 * i) });
    sweep(trace, (azimuthDeg) => (azimuthDeg >= 100 && azimuthDeg < 150 ? 20 : 0), 3);
    expect(trace.progress().coverage).toBe(1);
    const sectors = trace.finish();
    const hides = (azimuthDeg: number, altitudeDeg: number): boolean =>
      isHidden(sectors, azimuthDeg * degree, altitudeDeg * degree);
    expect(hides(125, 21)).toBe(true);
    expect(hides(125, 23)).toBe(false);
    for (const azimuthDeg of [20, 90, 160, 182, 300]) expect(hides(azimuthDeg, 1), `${azimuthDeg}`).toBe(false);
  });

  it('goes on when too little was swept', () => {
    const trace = step();
    for (let i = 0; i < 60; i += 1) trace.offer({ boardS: i / 10, ...reading(i / 2, 30) });
    expect(() => trace.finish()).toThrow(/percent of the horizon was swept, at least 20/);
    sweep(trace, () => 10, 6);
    expect(trace.finish().length).toBeGreaterThan(0);
  });
});
