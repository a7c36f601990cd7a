import { describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import type { SensorCorrection } from '../../calibration/correction.ts';
import { fitEllipsoid } from '../../calibration/ellipsoid.ts';
import { invariantDifferences } from '../../calibration/tumble/invariants.ts';
import { lengthModel } from '../../calibration/tumble/oneSensor.ts';
import { attitudeDerivatives } from '../../calibration/tumble/propagate.ts';
import { tumbleUnknowns } from '../../calibration/tumble/types.ts';
import { identity3, type Vector3, vector3 } from '../../calibration/vector.ts';
import { Random } from '../../firmware-proto/virtual/random.ts';

/** The 22 unknowns of sound chips with the given hard iron. */
function soundBoard(hardIron: Vector3, dipDeg: number): Float64Array {
  const u = new Float64Array(tumbleUnknowns.count);
  u.set([1, 0, 0, 1, 0, 1], tumbleUnknowns.accelMatrix);
  u.set(hardIron, tumbleUnknowns.fieldBias);
  u.set(identity3, tumbleUnknowns.fieldMatrix);
  u[tumbleUnknowns.dip] = dipDeg * degree;
  return u;
}

const [b, i] = [50, 60];
const [c, s] = [b * Math.cos(i * degree), b * Math.sin(i * degree)];
/**
 * STMicroelectronics DT0058 Rev 3 (A. Vitali, 2021), figure 1: readings in five reference orientations for field B and inclination
 * i, here 50 uT and 60 degrees; x forward, y right, z down, accelerometer positive for an axis that points DOWN.
 */
const referenceOrientations: [string, Vector3, Vector3][] = [
  ['0 0 0', [0, 0, 1], [c, 0, s]],
  ['90 0 0', [0, 1, 0], [c, s, 0]],
  ['0 90 0', [-1, 0, 0], [-s, 0, c]],
  ['0 0 90', [0, 0, 1], [0, -c, s]],
  ['90 90 0', [-1, 0, 0], [-s, c, 0]],
];

/** Forward model in the axes of DT0058, derived with Rx(roll) Ry(pitch) Rz(yaw): accelerometer g, magnetometer uT, hard iron uT, inclination, strength uT. */
const forwardRows: [Vector3, Vector3, Vector3, number, number][] = [
  [[0, 0, 1], [25, 0, 43.3012702], [0, 0, 0], 60, 50],
  [[-0.64278761, 0, 0.766044443], [-14.3411372, 0.6643471, 49.9788998], [0, 0, 0], 66, 52],
  [[-0.64278761, 0.323744371, 0.694272044], [-1.8386945, 13.3710843, 48.5321065], [12.5, -7.25, 3], 66, 52],
  [[0.544639035, 0, -0.838670568], [-68.3264344, 30.1592976, 38.2133904], [-20, 31, 8], -65, 57],
  [[0.809016994, 0.567756956, 0.152130018], [-32.8950107, 1.8460928, 1.8735558], [0, 0, 0], -50, 33],
  [[-0.003839715, 0.707101569, 0.707101569], [27.7843315, 5.4565679, 8.2768827], [0, 0, 0], 19, 29.5],
];

const differences = (accel: Vector3, fieldUt: Vector3, hardIronUt: Vector3, dipDeg: number, strengthUt: number) => {
  const up = accel.map((v) => -v);
  const field = fieldUt.map((v) => v * 1000);
  const u = soundBoard(vector3(hardIronUt.map((v) => v * 1000)), dipDeg);
  return invariantDifferences(Float64Array.from([...up, ...field]), strengthUt * 1000, u);
};

describe('the three invariants', () => {
  it.each(referenceOrientations)(
    'hold in the reference orientation of DT0058 at roll pitch yaw %s',
    (_, accel, field) => {
      differences(accel, field, [0, 0, 0], i, b).forEach((value) => expect(Math.abs(value)).toBeLessThan(1e-12));
    },
  );

  it.each(forwardRows)('hold for a forward model of an eCompass with hard iron (%#)', (...row) => {
    differences(...row).forEach((value) => expect(Math.abs(value)).toBeLessThan(2e-8));
  });
});

describe('counts of unknowns', () => {
  it('are those of NXP AN4246 Rev 4.0: hard iron 3, soft iron 6, field strength 1', () => {
    // our strength is fixed by the model or by the chip's scale, so it is not among the nine
    expect(lengthModel(new Float64Array(30), 1, 1).unknowns + 1).toBe(10);
  });

  it('are those of ST DT0059 Rev 1: nine for a rotated ellipsoid, from at least nine points', () => {
    const random = new Random(4);
    const points = Array.from({ length: 9 }, () => {
      const [x, y, z] = random.direction();
      return [10 + 2 * x, -5 + 1.5 * y + 0.3 * x, 3 + z];
    });
    expect(fitEllipsoid(points.slice(0, 8).flat())).toBeUndefined();
    const fit = fitEllipsoid(points.flat());
    expect(fit?.bias[0]).toBeCloseTo(10, 6);
    expect(fit?.bias[1]).toBeCloseTo(-5, 6);
    expect(fit?.bias[2]).toBeCloseTo(3, 6);
  });
});

describe('what errors of the chips do to the heading', () => {
  const sound: SensorCorrection = {
    accelerometer: { bias: [0, 0, 0], matrix: identity3 },
    magnetometer: { bias: [0, 0, 0], matrix: identity3 },
  };
  /** Board level, x north, z up: north, west, up. */
  const rowsAt = (strength: number, dipDeg: number): Float64Array =>
    attitudeDerivatives(
      sound,
      [0, 0, 1],
      [strength * Math.cos(dipDeg * degree), 0, -strength * Math.sin(dipDeg * degree)],
    );
  const heading = 2 * tumbleUnknowns.count;

  it('1 uT across 30 uT of horizontal field turns it by 1.9 degrees (Aichi Micro Intelligent, electronic compass page)', () => {
    const across = Math.abs(rowsAt(30_000, 0)[heading + tumbleUnknowns.fieldBias + 1]) * 1000;
    expect(Math.atan(across) / degree).toBeCloseTo(1.9, 1);
  });

  it('0.001 of the field on both axes at 66 degrees dip is 0.2 degree at its peak (Jewell Instruments, electronic compass paper)', () => {
    const rows = rowsAt(1, 66);
    const peak = 0.001 * Math.SQRT2 * Math.abs(rows[heading + tumbleUnknowns.fieldBias + 1]);
    expect(peak / degree).toBeCloseTo(0.2, 2);
  });

  it('1 mg across is 7.72 arcminutes at 66 degrees dip (tilt times the tangent of dip, first-order geometry)', () => {
    const rows = rowsAt(50_000, 66);
    expect((Math.abs(rows[heading + 1]) * 0.001 * 60) / degree).toBeCloseTo(7.7213, 3);
  });
});
