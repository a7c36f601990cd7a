import type { Prior } from '../adjust.ts';
import type { TumbleStart } from './start.ts';
import { tumbleUnknowns, type ChipPrior, type SiteField } from './types.ts';

const { accelBias, accelMatrix, fieldBias, fieldMatrix, dip, count } = tumbleUnknowns;

/** Iron on the board, in fields: so wide that it only keeps a hopeless fit from running away. */
const hardIronOverField = 4;

/** What chips usually are off by, around the nominal orientation; the site's dip with the model's own sigma. */
export function tumblePrior(
  chip: ChipPrior,
  { nominal, radiusNt, fieldNt }: TumbleStart,
  site: SiteField | undefined,
  rawField: boolean,
): Prior {
  const mean = new Float64Array(count);
  const sigma = new Float64Array(count);
  const factor = rawField ? fieldNt / radiusNt : 1;
  mean.set([1, 0, 0, 1, 0, 1], accelMatrix);
  sigma.fill(chip.accelBiasG, accelBias, accelMatrix);
  sigma.fill(chip.accelMatrix, accelMatrix, fieldBias);
  sigma.fill(hardIronOverField * fieldNt, fieldBias, fieldMatrix);
  mean.set(
    nominal.map((value) => value * factor),
    fieldMatrix,
  );
  sigma.fill(chip.fieldMatrix * factor, fieldMatrix, dip);
  mean[dip] = site?.dipRad ?? 0;
  sigma[dip] = site?.sigmaDipRad ?? Infinity;
  return { mean, sigma };
}
