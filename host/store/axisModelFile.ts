import { z } from 'zod';
import { degree } from '../../calibration/angle.ts';
import type { AxisModel } from '../../calibration/axisModel.ts';
import { determinant, matrix3, norm, type Vector3 } from '../../calibration/vector.ts';

const three = z.tuple([z.number(), z.number(), z.number()]);
const nine = z
  .array(z.number())
  .length(9)
  .refine((matrix) => determinant(matrix3(matrix)) > 0, 'a matrix is singular or turns the board inside out');
const positive = z.number().positive();

/** How an axis model is written in a kept swing and in a capture: degrees, nT, g. */
export const axisModelFields = {
  axisInBoard: three.refine((axis) => Math.abs(norm(axis) - 1) < 1e-6, 'axisInBoard is not a unit vector'),
  sigmaAltitudeDeg: positive,
  sigmaMagneticAzimuthDeg: positive,
  fieldNt: positive,
  sigmaFieldNt: positive,
  dipDeg: z.number().min(-90).max(90),
  sigmaDipDeg: positive,
  accelerometer: z.strictObject({ biasG: three, matrix: nine }),
  magnetometer: z.strictObject({ biasNt: three, matrix: nine }),
  temperatureC: z.number().optional(),
};
type AxisModelFile = z.infer<z.ZodObject<typeof axisModelFields>>;

export function axisModelToFile(model: AxisModel): AxisModelFile {
  const { accelerometer: a, magnetometer: m } = model.correction;
  return {
    axisInBoard: [...model.axisInBoard],
    sigmaAltitudeDeg: model.sigmaAltitudeRad / degree,
    sigmaMagneticAzimuthDeg: model.sigmaMagneticAzimuthRad / degree,
    fieldNt: model.fieldNt,
    sigmaFieldNt: model.sigmaFieldNt,
    dipDeg: model.dipRad / degree,
    sigmaDipDeg: model.sigmaDipRad / degree,
    accelerometer: { biasG: [...a.bias], matrix: [...a.matrix] },
    magnetometer: { biasNt: [...m.bias], matrix: [...m.matrix] },
    temperatureC: model.temperatureC,
  };
}

export function axisModelFromFile(kept: AxisModelFile): AxisModel {
  const { accelerometer: a, magnetometer: m } = kept;
  return {
    correction: {
      accelerometer: { bias: a.biasG as Vector3, matrix: matrix3(a.matrix) },
      magnetometer: { bias: m.biasNt as Vector3, matrix: matrix3(m.matrix) },
    },
    axisInBoard: kept.axisInBoard,
    sigmaAltitudeRad: kept.sigmaAltitudeDeg * degree,
    sigmaMagneticAzimuthRad: kept.sigmaMagneticAzimuthDeg * degree,
    fieldNt: kept.fieldNt,
    sigmaFieldNt: kept.sigmaFieldNt,
    dipRad: kept.dipDeg * degree,
    sigmaDipRad: kept.sigmaDipDeg * degree,
    ...(kept.temperatureC !== undefined && { temperatureC: kept.temperatureC }),
  };
}
