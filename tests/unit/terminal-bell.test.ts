import { describe, expect, it } from 'vitest';
import { Bell } from '../../host/terminal/bell.ts';

describe('the bell', () => {
  const errorDeg = { azimuth: 0, altitude: 0 };
  let reading: ((axis: 'azimuth' | 'altitude') => { errorDeg: number; sigmaDeg: number }) | undefined = (axis) => ({
    errorDeg: errorDeg[axis],
    sigmaDeg: 0.05,
  });
  const countIn = (bell: Bell, fromS: number, seconds: number): number => {
    let count = 0;
    for (let s = fromS; s < fromS + seconds; s += 1 / 12) if (bell.isDue(s, (axis) => reading?.(axis))) count += 1;
    return count;
  };

  it('is silent until asked for, quickens toward zero, rings three times there, and is silent without a reading', () => {
    const bell = new Bell();
    errorDeg.azimuth = -9;
    expect(countIn(bell, 0, 60)).toBe(0);
    bell.next();
    const slow = countIn(bell, 100, 60);
    errorDeg.azimuth = -0.2;
    const quick = countIn(bell, 200, 60);
    expect(slow).toBeGreaterThan(20);
    expect(quick).toBeGreaterThan(2 * slow);
    errorDeg.azimuth = 0.03;
    expect(countIn(bell, 300, 60)).toBe(3);
    errorDeg.azimuth = 0.3;
    expect(countIn(bell, 400, 60)).toBeGreaterThan(slow);
    const kept = reading;
    reading = undefined;
    expect(countIn(bell, 500, 60)).toBe(0);
    reading = kept;
    bell.next();
    errorDeg.altitude = 0;
    expect(bell.words()).toContain('altitude');
    expect(countIn(bell, 600, 60)).toBe(3);
    bell.next();
    errorDeg.altitude = 3;
    expect(countIn(bell, 700, 60)).toBe(0);
  });
});
