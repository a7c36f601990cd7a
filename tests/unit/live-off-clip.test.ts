import { describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { OffClipWatch } from '../../host/live/offClipWatch.ts';
import type { NeedleState } from '../../host/live/session.ts';

/** The watch with a board that stands as told for some seconds, at 10 readings a second. */
function standing(): (seconds: number, errorDeg: number, sigmaDeg?: number, state?: NeedleState) => boolean {
  const watch = new OffClipWatch();
  let boardS = 0;
  const offer = (seconds: number, errorDeg: number, sigmaDeg = 0.03, state: NeedleState = 'still'): boolean => {
    let isOff = false;
    for (let i = 0; i < seconds * 10; i += 1) {
      boardS += 0.1;
      const figures = { altitudeErrorRad: errorDeg * degree, sigmaAltitudeErrorRad: sigmaDeg * degree };
      isOff = watch.offer(figures, state, boardS);
    }
    return isOff;
  };
  return Object.assign(offer, { watch });
}

describe('a board off its clip', () => {
  it.each([
    [-39, 0.03, true],
    [20.5, 0.2, true],
    [-8, 0.03, false],
    [19, 0.2, false],
    // a board that was never tumbled may stand so
    [-39, 22, false],
    [24, 3, false],
  ])('stands %d degrees off, one sigma %d: %s', (errorDeg, sigmaDeg, isOff) => {
    expect(standing()(0.1, errorDeg, sigmaDeg)).toBe(isOff);
  });

  it('is back when it has rested for a second where an axis may stand', () => {
    const offer = standing();
    expect(offer(1, 144)).toBe(true);
    expect(offer(3, 17)).toBe(true);
    expect(offer(3, 4, 0.03, 'moving')).toBe(true);
    expect(offer(0.7, 4)).toBe(true);
    expect(offer(0.3, 4, 0.03, 'moving')).toBe(true);
    expect(offer(0.8, 4)).toBe(true);
    expect(offer(0.4, 4)).toBe(false);
    // a field that iron bends says nothing against the clip
    expect(offer(1, 25)).toBe(true);
    expect(offer(1.2, 4, 0.03, 'disturbed')).toBe(false);
  });
});

it('a step that takes the board keeps it off, however it stands, until the step is over and it rests', () => {
  const offer = standing();
  const { watch } = offer as unknown as { watch: OffClipWatch };
  expect(offer(2, 1)).toBe(false);
  watch.take(true);
  expect(offer(30, 1)).toBe(true);
  watch.take(false);
  expect(offer(0.5, 1)).toBe(true);
  expect(offer(0.7, 1)).toBe(false);
});
