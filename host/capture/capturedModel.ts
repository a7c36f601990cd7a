import { z } from 'zod';
import type { AxisModel } from '../../calibration/axisModel.ts';
import { axisModelFields, axisModelToFile } from '../store/axisModelFile.ts';

/** The axis model in use when a capture was made, as its `# model` line keeps it; the lines of the board stay raw. */
export const capturedModel = z.strictObject({ schema: z.literal(1), ...axisModelFields });

export const toCapturedModel = (model: AxisModel): z.infer<typeof capturedModel> => ({
  schema: 1,
  ...axisModelToFile(model),
});
