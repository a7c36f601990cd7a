import type { AxisModel } from '../../calibration/axisModel.ts';
import { degree } from '../../calibration/angle.ts';
import { clipOnlyModel, uncalibratedModel } from '../../calibration/live/uncalibrated.ts';
import type { Hello } from '../../firmware-proto/wire.ts';
import type { SiteField } from '../site/field.ts';
import type { Site } from '../site/site.ts';
import { readCalibrationFile, type KeptCalibration } from '../store/calibrationFile.ts';
import { cautionsOfNamed } from '../store/belongs.ts';
import type { ClippingOptions } from '../store/clipping.ts';
import { findAxisModel, findCalibration } from '../store/profile.ts';
import { texts } from './words.ts';

/** A model and where it came from, in sentences. */
export interface ChosenModel {
  model: AxisModel;
  notes: readonly string[];
}

const notSwung = texts.notSwung;

/**
 * The best model that is kept for this board and site: its last swing, else its tumble alone, else the limits of the datasheet.
 * Whatever was not applied is said with its reason.
 * @param calibration a file to use in the place of the kept ones
 * @param isLogger the readings are those of a logger that has no hello of its own
 * Throws Failure where that file cannot be read or belongs to another board.
 */
export async function chooseModel(
  hello: Omit<Hello, 'kind'>,
  site: Site,
  field: SiteField,
  {
    calibration: file,
    isLogger = false,
    ...clipping
  }: ClippingOptions & { calibration?: string; isLogger?: boolean } = {},
): Promise<ChosenModel> {
  if (file !== undefined) {
    const kept = await readCalibrationFile(file);
    const cautions = isLogger ? [] : cautionsOfNamed(file, kept, hello);
    return { model: tumbledModel(kept), notes: [texts.calibrationFrom(file), ...cautions, notSwung] };
  }
  const swung = await findAxisModel(hello, site, clipping);
  if ('model' in swung) {
    const when = swung.savedUtc.slice(0, 16).replace('T', ' ');
    return { model: swung.model, notes: [texts.axisOfSwing(when), ...swung.cautions] };
  }
  const tumbled = await findCalibration(hello);
  if ('calibration' in tumbled) {
    return {
      model: tumbledModel(tumbled),
      notes: [swung.reason, texts.tumbleOnly],
    };
  }
  const model = uncalibratedModel(field);
  const bandDeg = (2 * model.sigmaMagneticAzimuthRad) / degree;
  return {
    model,
    notes: [texts.notCalibrated(bandDeg.toFixed(0)), texts.thenTumble(tumbled.reason)],
  };
}

const tumbledModel = ({ calibration, temperatureC }: KeptCalibration): AxisModel => ({
  ...clipOnlyModel(calibration),
  ...(temperatureC !== undefined && { temperatureC }),
});
