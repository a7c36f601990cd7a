import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { degree, wrapTwoPi } from '../../calibration/angle.ts';
import { emptyReading, level } from '../../calibration/live/attitude.ts';
import { apply, identity3, multiply, rotationAbout, scale, type Vector3, vector3 } from '../../calibration/vector.ts';

// STMicroelectronics DT0058 Rev 3, figure 1, and rows computed with its axes: see the data file for each row's source.
interface Row {
  id: string;
  inputs: Record<string, unknown>;
  outputs: Record<string, unknown>;
}
const { rows } = JSON.parse(readFileSync(new URL('data/live-compass-rows.json', import.meta.url), 'utf8')) as {
  rows: Row[];
};
const plain = { bias: [0, 0, 0] as Vector3, matrix: identity3 };

/** DT0058 counts an axis that points down as positive; here one that points up is. */
const ours = (accelDown: Vector3): Vector3 => scale(accelDown, -1);

/** Board to north-east-down for yaw, pitch and roll in degrees, as DT0058 turns them. */
const attitude = (rollDeg: number, pitchDeg: number, yawDeg: number) =>
  multiply(
    rotationAbout([0, 0, 1], yawDeg * degree),
    multiply(rotationAbout([0, 1, 0], pitchDeg * degree), rotationAbout([1, 0, 0], rollDeg * degree)),
  );

function directionOf(
  accel: Vector3,
  field: Vector3,
  bias: Vector3,
  axis: Vector3,
): { ned: Vector3; dipRad: number; fieldNt: number } {
  const out = emptyReading();
  expect(level(accel, field, { accelerometer: plain, magnetometer: { bias, matrix: identity3 } }, axis, out)).toBe(
    true,
  );
  return {
    ned: [out.north * out.cosAltitude, out.east * out.cosAltitude, -out.sinAltitude],
    dipRad: out.dipRad,
    fieldNt: out.fieldNt,
  };
}

const boardAxes: Vector3[] = [
  [1, 0, 0],
  [0, 1, 0],
  [0, 0, 1],
];

describe('reference orientations of DT0058, figure 1', () => {
  const figure = rows.filter(({ id }) => id.startsWith('st-dt0058-fig1'));
  const inclinationDeg = 63;
  const terms: Record<string, number> = {
    '0': 0,
    '+G': 1,
    '-G': -1,
    '+B cos i': 50_000 * Math.cos(inclinationDeg * degree),
    '-B cos i': -50_000 * Math.cos(inclinationDeg * degree),
    '+B sin i': 50_000 * Math.sin(inclinationDeg * degree),
    '-B sin i': -50_000 * Math.sin(inclinationDeg * degree),
  };
  const vector = (texts: unknown): Vector3 => vector3((texts as string[]).map((text) => terms[text]));

  it('has five rows', () => expect(figure).toHaveLength(5));
  it.each(figure)('$id: every axis of the board points where the figure says', ({ inputs, outputs }) => {
    const [roll, pitch, yaw] = inputs.roll_pitch_yaw_deg as number[];
    const expected = attitude(roll, pitch, yaw);
    for (const axis of boardAxes) {
      const found = directionOf(ours(vector(outputs.accelerometer)), vector(outputs.magnetometer), [0, 0, 0], axis);
      apply(expected, axis).forEach((value, i) => expect(found.ned[i]).toBeCloseTo(value, 9));
      expect(found.dipRad / degree).toBeCloseTo(inclinationDeg, 9);
      expect(found.fieldNt).toBeCloseTo(50_000, 6);
    }
  });
});

describe('tilt-compensated compass rows', () => {
  const compass = rows.filter(({ id }) => id.startsWith('ecompass-synthetic'));

  it('has six rows', () => expect(compass).toHaveLength(6));
  it.each(compass)('$id: heading, tilt, dip and strength come back at the printed precision', ({ inputs, outputs }) => {
    const accel = ours(vector3(inputs.accelerometer_g as number[]));
    const nt = (microtesla: unknown): Vector3 => scale(microtesla as Vector3, 1000);
    const { roll_deg, pitch_deg, yaw_magnetic_deg, inclination_deg, field_ut } = outputs as Record<string, number>;
    const field = nt(inputs.magnetometer_ut);
    const bias = nt(inputs.hard_iron_ut);
    const expected = attitude(roll_deg, pitch_deg, yaw_magnetic_deg);
    for (const axis of boardAxes) {
      const { ned } = directionOf(accel, field, bias, axis);
      apply(expected, axis).forEach((value, i) => expect(ned[i]).toBeCloseTo(value, 6));
    }
    const nose = directionOf(accel, field, bias, [1, 0, 0]);
    expect(Math.asin(-nose.ned[2]) / degree).toBeCloseTo(pitch_deg, 5);
    expect(wrapTwoPi(Math.atan2(nose.ned[1], nose.ned[0])) / degree).toBeCloseTo(yaw_magnetic_deg, 5);
    expect(nose.dipRad / degree).toBeCloseTo(inclination_deg, 5);
    expect(nose.fieldNt / 1000).toBeCloseTo(field_ut, 5);
  });
});

describe('how wrong a heading gets', () => {
  const northNt = (fieldUt: number, dipDeg: number): Vector3 => [
    fieldUt * 1000 * Math.cos(dipDeg * degree),
    0,
    fieldUt * 1000 * Math.sin(dipDeg * degree),
  ];
  const azimuthDeg = (accel: Vector3, field: Vector3): number => {
    const { ned } = directionOf(accel, field, [0, 0, 0], [1, 0, 0]);
    return Math.atan2(ned[1], ned[0]) / degree;
  };

  it('1 microtesla across a horizontal field of 30 is 1.9 degrees (Aichi Micro Intelligent, electronic compass page)', () => {
    expect(Math.abs(azimuthDeg([0, 0, -1], [30_000, 1000, 40_000]))).toBeCloseTo(1.9, 1);
  });

  it('0.1 percent of the field on both axes is at most 0.2 degree at 66 degrees dip (Jewell Instruments)', () => {
    const clean = northNt(50, 66);
    let largest = 0;
    for (let turn = 0; turn < 360; turn += 5) {
      const yaw = rotationAbout([0, 0, 1], -turn * degree);
      const seen = apply(yaw, clean);
      const wrong = azimuthDeg([0, 0, -1], [seen[0] + 50, seen[1] + 50, seen[2]]);
      const right = azimuthDeg([0, 0, -1], seen);
      largest = Math.max(
        largest,
        Math.abs(Math.atan2(Math.sin((wrong - right) * degree), Math.cos((wrong - right) * degree)) / degree),
      );
    }
    expect(largest).toBeCloseTo(0.2, 2);
  });

  it('1 mg of tilt about magnetic north is 7.7 arcminutes of heading at 66 degrees dip (first-order geometry)', () => {
    const tilted = rotationAbout([1, 0, 0], Math.asin(0.001));
    const wrong = azimuthDeg(apply(tilted, [0, 0, -1]), northNt(50, 66));
    expect(Math.abs(wrong) * 60).toBeCloseTo(7.72, 1);
  });
});
