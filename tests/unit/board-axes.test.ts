import { describe, expect, test } from 'vitest';
import { apply, transpose, type Matrix3, type Vector3, vector3, matrix3 } from '../../calibration/vector.ts';
import { orientationMatrix, orientations } from '../../firmware-proto/wire.ts';
import { accelerometerAxes, magnetometerAxes, type PoseReading } from '../../host/steps/boardAxes.ts';

/** What a right board reads in the five poses, a little askew and with iron in the board; the field dips by 66 or rises by 58 degrees. */
function poses(hemisphere: 'north' | 'south'): PoseReading[] {
  const [level, up] = hemisphere === 'north' ? [20_000, -45_000] : [26_000, 41_000];
  const gravity: Vector3[] = [
    [0.06, -0.03, 0.99],
    [0.98, 0.09, -0.04],
    [-0.05, 1.01, 0.08],
    [0.02, 0.05, 1.0],
    [0.04, -0.02, 1.0],
  ];
  const iron: Vector3 = [2100, -1300, 900];
  const field: Vector3[] = [
    [1000, 2000, up],
    [up, 500, 3000],
    [700, up, 900],
    [0.97 * level, 0.2 * level, up],
    [-0.15 * level, 0.98 * level, up],
  ];
  return gravity.map((accelG, pose) => ({
    accelG,
    fieldNt: vector3(field[pose].map((value, axis) => value + iron[axis])),
  }));
}

const turned = (readings: readonly PoseReading[], by: Matrix3): PoseReading[] =>
  readings.map(({ accelG, fieldNt }) => ({ accelG: apply(by, accelG), fieldNt: apply(by, fieldNt) }));

describe.each(['north', 'south'] as const)('the check of the axes in the %s', (hemisphere) => {
  test('finds sound axes right', () => {
    const readings = poses(hemisphere);
    expect(accelerometerAxes(readings, '-Y+X+Z').state).toBe('right');
    expect(magnetometerAxes(readings, '+X+Y+Z', hemisphere).state).toBe('right');
    expect(magnetometerAxes(readings, '+X+Y+Z', undefined).state).toBe('right');
  });

  test.each(orientations)('finds each way a chip can sit: %s instead of the one that is set', (sits) => {
    const set = '-Y+X+Z';
    // chip = sits^T board; what the host shows is set * chip
    const shown = (readings: PoseReading[]): PoseReading[] =>
      turned(turned(readings, transpose(orientationMatrix(sits))), orientationMatrix(set));
    const readings = shown(poses(hemisphere));
    const expected = sits === set ? { state: 'right' } : { state: 'turned', orientation: sits };
    expect(accelerometerAxes(readings, set)).toMatchObject(expected);
    expect(magnetometerAxes(readings, set, hemisphere)).toMatchObject(expected);
  });

  test.each([
    ['x', [-1, 0, 0, 0, 1, 0, 0, 0, 1]],
    ['y', [1, 0, 0, 0, -1, 0, 0, 0, 1]],
    ['z', [1, 0, 0, 0, 1, 0, 0, 0, -1]],
    ['x and y exchanged', [0, 1, 0, 1, 0, 0, 0, 0, 1]],
    ['all three', [-1, 0, 0, 0, -1, 0, 0, 0, -1]],
  ] as const)('says that an axis is mirrored: %s', (_, mirror) => {
    const readings = turned(poses(hemisphere), matrix3(mirror));
    const accelerometer = accelerometerAxes(readings, '+X+Y+Z');
    expect(accelerometer.state).toBe('mirrored');
    expect(accelerometer.words).toMatch(/mirrored.*do not use this chip/);
    expect(magnetometerAxes(readings, '+X+Y+Z', hemisphere).state).toBe('mirrored');
  });

  test('names the pose that was not held, and believes no field beside iron', () => {
    const readings = poses(hemisphere);
    readings[1] = { ...readings[1], accelG: [0.7, 0.7, 0] };
    expect(accelerometerAxes(readings, '+X+Y+Z')).toMatchObject({ state: 'unclear' });
    expect(accelerometerAxes(readings, '+X+Y+Z').words).toContain('second');
    readings[4] = { ...readings[4], fieldNt: [90_000, 3_000, 5_000] };
    expect(magnetometerAxes(readings, '+X+Y+Z', hemisphere).state).toBe('unclear');
  });
});

test('without a hemisphere it says what it cannot tell', () => {
  expect(magnetometerAxes(poses('south'), '+X+Y+Z', undefined).words).toMatch(/save a site/);
});
