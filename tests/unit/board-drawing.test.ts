import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  angleBetweenRad,
  apply,
  determinant,
  multiply,
  normalise,
  transpose,
  type Vector3,
} from '../../calibration/vector.ts';
import { attitudes } from '../../host/web/page/boardAttitude.ts';

const direction = fc
  .tuple(fc.integer({ min: -9, max: 9 }), fc.integer({ min: -9, max: 9 }), fc.integer({ min: -9, max: 9 }))
  .filter((v) => Math.hypot(...v) > 0)
  .map((v) => normalise(v));

describe('the board as it lies now and as it should', () => {
  it('has the right side up in both, and is turned no further than needed', () => {
    fc.assert(
      fc.property(direction, direction, (upNow: Vector3, upNext: Vector3) => {
        const { now, next } = attitudes(upNow, upNext);
        expect(apply(now, upNow)[2]).toBeCloseTo(1, 6);
        expect(apply(next!, upNext)[2]).toBeCloseTo(1, 6);
        expect(determinant(next!)).toBeCloseTo(1, 6);
        // trace of a rotation is 1 + 2 cos of its angle
        const turn = multiply(next!, transpose(now));
        const turnRad = Math.acos(Math.min(1, Math.max(-1, (turn[0] + turn[4] + turn[8] - 1) / 2)));
        expect(turnRad).toBeCloseTo(angleBetweenRad(upNow, upNext), 4);
      }),
    );
  });
});
