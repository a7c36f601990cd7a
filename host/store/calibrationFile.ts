import { z } from 'zod';
import { degree } from '../../calibration/angle.ts';
import { tumbleUnknowns, type TumbleCalibration } from '../../calibration/tumble/types.ts';
import { determinant, matrix3, type Matrix3, type Vector3 } from '../../calibration/vector.ts';
import type { Hello } from '../../firmware-proto/wire.ts';
import { exitCode, Failure } from '../failure.ts';
import { readJsonFile, saveNamedFile } from './jsonFile.ts';

const three = z.tuple([z.number(), z.number(), z.number()]);
const rows = z
  .tuple([three, three, three])
  .refine((m) => determinant(matrix3(m.flat())) > 0, 'a matrix is singular or turns the board inside out');
const positive = z.number().positive();
const size = tumbleUnknowns.count;

/** What a calibration belongs to: it is applied only where all of it is the same. */
export const boardKeySchema = z.strictObject({
  boardId: z.string().regex(/^[0-9A-F]{8}$/),
  firmware: z.string().min(1).max(40),
  accelerometer: z.string().max(60),
  magnetometer: z.string().max(60),
});
export type BoardKey = z.infer<typeof boardKeySchema>;

/** Chip, identity, orientation and scale in one readable line, e.g. `LSM303AGR 33 +X+Y+Z 0.00098 g`. */
export const boardKey = ({ boardId, firmware, accelerometer: a, magnetometer: m }: Omit<Hello, 'kind'>): BoardKey => ({
  boardId,
  firmware,
  accelerometer: `${a.name} ${hex(a.id)} ${a.orientation} ${a.gPerCount} g`,
  magnetometer: `${m.name} ${hex(m.id)} ${m.orientation} ${m.ntPerCount} nT`,
});
const hex = (id: number): string => id.toString(16).toUpperCase().padStart(2, '0');

export const calibrationFileSchema = z.strictObject({
  schema: z.literal(1),
  kind: z.literal('calibration'),
  savedUtc: z.iso.datetime(),
  /** Absent: readings of an unnamed logger, never applied to a live board. */
  board: boardKeySchema.optional(),
  temperatureC: z.number().min(-60).max(120).optional(),
  /** corrected = matrix (reading - bias), in the board's frame. */
  accelerometer: z.strictObject({ biasG: three, matrix: rows }),
  magnetometer: z.strictObject({ biasNt: three, matrix: rows }),
  fieldNt: positive,
  dipDeg: z.number().min(-90).max(90),
  sigmaDipDeg: positive,
  sigmaHeadingDeg: positive,
  sigmaTiltDeg: positive,
  fieldResidualPercent: z.number().nonnegative(),
  dipSpreadDeg: z.number().nonnegative(),
  noise: z.strictObject({ accelG: positive, fieldNt: positive }),
  samplesUsed: z.int().positive(),
  /** In the order accelerometer bias (g), its matrix xx xy xz yy yz zz, magnetometer bias (nT), its matrix by rows, dip (rad). */
  covariance: z.array(z.array(z.number()).length(size)).length(size),
});
export type CalibrationFile = z.infer<typeof calibrationFileSchema>;

/** What a tumble of one sensor leaves; told from the other only to say what is missing. */
const oneSensorFileSchema = z.object({ kind: z.literal('sensor'), sensor: z.enum(['accelerometer', 'magnetometer']) });

export interface KeptCalibration {
  calibration: TumbleCalibration;
  board?: BoardKey;
  temperatureC?: number;
  savedUtc: string;
}

/** The plain object that is kept on disk and shown by `tumble --json`. */
export function calibrationToFile(
  calibration: TumbleCalibration,
  about: { board?: BoardKey; temperatureC?: number; saved?: Date } = {},
): CalibrationFile {
  const { accelerometer: a, magnetometer: m } = calibration.correction;
  const { saved = new Date(), board, temperatureC } = about;
  return {
    schema: 1,
    kind: 'calibration',
    savedUtc: saved.toISOString(),
    board,
    temperatureC,
    accelerometer: { biasG: [...a.bias], matrix: toRows(a.matrix) },
    magnetometer: { biasNt: [...m.bias], matrix: toRows(m.matrix) },
    fieldNt: calibration.fieldNt,
    dipDeg: calibration.dipRad / degree,
    sigmaDipDeg: calibration.sigmaDipRad / degree,
    sigmaHeadingDeg: calibration.sigmaHeadingRad / degree,
    sigmaTiltDeg: calibration.sigmaTiltRad / degree,
    fieldResidualPercent: calibration.fieldResidualPercent,
    dipSpreadDeg: calibration.dipSpreadRad / degree,
    noise: { ...calibration.noise },
    samplesUsed: calibration.samplesUsed,
    covariance: Array.from({ length: size }, (_, i) => calibration.covariance.slice(i * size, (i + 1) * size)),
  };
}

export function calibrationFromFile(file: CalibrationFile): KeptCalibration {
  const { accelerometer: a, magnetometer: m } = file;
  return {
    calibration: {
      correction: {
        accelerometer: { bias: a.biasG as Vector3, matrix: matrix3(a.matrix.flat()) },
        magnetometer: { bias: m.biasNt as Vector3, matrix: matrix3(m.matrix.flat()) },
      },
      covariance: file.covariance.flat(),
      fieldNt: file.fieldNt,
      dipRad: file.dipDeg * degree,
      sigmaDipRad: file.sigmaDipDeg * degree,
      sigmaHeadingRad: file.sigmaHeadingDeg * degree,
      sigmaTiltRad: file.sigmaTiltDeg * degree,
      fieldResidualPercent: file.fieldResidualPercent,
      dipSpreadRad: file.dipSpreadDeg * degree,
      noise: file.noise,
      samplesUsed: file.samplesUsed,
    },
    board: file.board,
    temperatureC: file.temperatureC,
    savedUtc: file.savedUtc,
  };
}

/** Reads the file that `tumble --out` wrote. Throws Failure when it is missing, broken or something else. */
export async function readCalibrationFile(path: string): Promise<KeptCalibration> {
  const file = await readJsonFile(path, z.discriminatedUnion('kind', [calibrationFileSchema, oneSensorFileSchema]));
  if (!file) {
    throw new Failure(exitCode.inputOutput, `There is no file ${path}.`, 'Make it first: lodepole tumble --out FILE');
  }
  if (file.kind === 'calibration') return calibrationFromFile(file);
  const missing = file.sensor === 'accelerometer' ? 'magnetometer' : 'accelerometer';
  throw new Failure(
    exitCode.badData,
    `${path} is a calibration of the ${file.sensor} alone: it has no ${missing}.`,
    `Tumble again with readings of both sensors: lodepole tumble --out FILE`,
  );
}

export const writeCalibrationFile = (path: string, file: CalibrationFile): Promise<void> => saveNamedFile(path, file);

const toRows = ([a, b, c, d, e, f, g, h, i]: Matrix3): [Mutable, Mutable, Mutable] => [
  [a, b, c],
  [d, e, f],
  [g, h, i],
];
type Mutable = [number, number, number];
