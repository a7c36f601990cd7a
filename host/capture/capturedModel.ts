import { z } from 'zod';
import type { AxisModel } from '../../calibration/axisModel.ts';
import { degree } from '../../calibration/angle.ts';
import { determinant, norm, type Matrix3, type Vector3 } from '../../calibration/vector.ts';

const three = z.tuple([z.number(), z.number(), z.number()]);
const nine = z
  .array(z.number())
  .length(9)
  .refine(
    (matrix) => determinant(matrix as unknown as Matrix3) > 0,
    'a matrix is singular or turns the board inside out',
  );
const positive = z.number().positive();

/** The axis model in use when a capture was made, as its `# model` line keeps it; the lines of the board stay raw. */
export const capturedModel = z.strictObject({
  schema: z.literal(1),
  accelerometer: z.strictObject({ biasG: three, matrix: nine }),
  magnetometer: z.strictObject({ biasNt: three, matrix: nine }),
  axisInBoard: three.refine((axis) => Math.abs(norm(axis) - 1) < 1e-6, 'axisInBoard is not a unit vector'),
  sigmaAltitudeDeg: positive,
  sigmaMagneticAzimuthDeg: positive,
  fieldNt: positive,
  sigmaFieldNt: positive,
  dipDeg: z.number().min(-90).max(90),
  sigmaDipDeg: positive,
});
type CapturedModel = z.infer<typeof capturedModel>;

export function toCapturedModel(model: AxisModel): CapturedModel {
  const { accelerometer: a, magnetometer: m } = model.correction;
  return {
    schema: 1,
    accelerometer: { biasG: [...a.bias], matrix: [...a.matrix] },
    magnetometer: { biasNt: [...m.bias], matrix: [...m.matrix] },
    axisInBoard: [...model.axisInBoard],
    sigmaAltitudeDeg: model.sigmaAltitudeRad / degree,
    sigmaMagneticAzimuthDeg: model.sigmaMagneticAzimuthRad / degree,
    fieldNt: model.fieldNt,
    sigmaFieldNt: model.sigmaFieldNt,
    dipDeg: model.dipRad / degree,
    sigmaDipDeg: model.sigmaDipRad / degree,
  };
}

export function fromCapturedModel(kept: CapturedModel): AxisModel {
  const { accelerometer: a, magnetometer: m } = kept;
  return {
    correction: {
      accelerometer: { bias: a.biasG as Vector3, matrix: a.matrix as unknown as Matrix3 },
      magnetometer: { bias: m.biasNt as Vector3, matrix: m.matrix as unknown as Matrix3 },
    },
    axisInBoard: kept.axisInBoard,
    sigmaAltitudeRad: kept.sigmaAltitudeDeg * degree,
    sigmaMagneticAzimuthRad: kept.sigmaMagneticAzimuthDeg * degree,
    fieldNt: kept.fieldNt,
    sigmaFieldNt: kept.sigmaFieldNt,
    dipRad: kept.dipDeg * degree,
    sigmaDipRad: kept.sigmaDipDeg * degree,
  };
}
