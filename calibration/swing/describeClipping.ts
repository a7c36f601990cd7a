import { correct } from '../correction.ts';
import { tumbleUnknowns } from '../tumble/types.ts';
import { add, cross, norm, scale, type Vector3 } from '../vector.ts';
import { quadraticForm, type AdjustedSwing } from './adjustSwing.ts';
import { circleSeen } from './circle.ts';
import { axisOf } from './frame.ts';
import { liveVariance } from './liveVariance.ts';
import type { Dwell, SwingResult } from './types.ts';
import { swingUnknowns } from './unknowns.ts';

const rms = (values: readonly number[]): number => Math.sqrt(values.reduce((sum, v) => sum + v, 0) / values.length);

/** Which way the axis points along the board as it is clipped on now. */
const lastSenseOf = ({ held }: AdjustedSwing): number => held[held.length - 1].sense;

/** Indices of the dwells that were taken as the board is clipped on now. */
function indicesOfLast(swing: AdjustedSwing): number[] {
  const lastSense = lastSenseOf(swing);
  return swing.held.flatMap(({ clipping, sense }, index) =>
    clipping === swing.clippings - 1 && sense === lastSense ? [index] : [],
  );
}

/** What the live needles go by. */
export function axisModelOf(swing: AdjustedSwing): SwingResult['axisModel'] {
  const { held, clippings, calibration, model, adjustment, covariance } = swing;
  const { estimate } = adjustment;
  const n = model.unknowns;
  const { strength } = swingUnknowns;
  const ofLast = indicesOfLast(swing);
  const live = ofLast.map((index) => liveVariance(swing, index));
  const dipRow = new Float64Array(n);
  model.addCalibrationRow(dipRow, tumbleUnknowns.dip, 1);
  return {
    correction: model.correctionAt(estimate, clippings - 1),
    axisInBoard: scale(axisOf(model.frameAt(estimate, clippings - 1)), lastSenseOf(swing)),
    sigmaAltitudeRad: Math.hypot(rms(live.map((variance) => variance.altitude)), swing.sigmaCreepRad),
    sigmaMagneticAzimuthRad: Math.hypot(rms(live.map((variance) => variance.azimuth)), swing.sigmaPlaceAzimuthRad),
    fieldNt: estimate[strength] * calibration.fieldNt,
    sigmaFieldNt: Math.sqrt(covariance[strength * n + strength]) * calibration.fieldNt,
    dipRad: model.calibrationAt(estimate)[tumbleUnknowns.dip],
    sigmaDipRad: Math.sqrt(quadraticForm(dipRow, covariance)),
    ...meanTemperature(ofLast.map((index) => held[index].dwell)),
  };
}

/** The circles on which gravity and field went round the axis, and the iron that turned along. */
export function circlesOf(
  swing: AdjustedSwing,
  { correction, axisInBoard }: SwingResult['axisModel'],
  axisAltitudeRad: number,
): Pick<SwingResult, 'turnAlongIronNt' | 'gravityCircle' | 'fieldCircle'> {
  const { held, clippings, model, adjustment } = swing;
  const frame = model.frameAt(adjustment.estimate, clippings - 1);
  const { hardNt: turnAlongIronNt } = model.ironAt(adjustment.estimate, clippings - 1);
  const dwells = indicesOfLast(swing).map((index) => held[index].dwell);
  const fields = dwells.map(({ fieldNt }) => correct(correction.magnetometer, fieldNt));
  return {
    turnAlongIronNt,
    gravityCircle: circleSeen(
      dwells.map(({ accelG }) => correct(correction.accelerometer, accelG)),
      [0, 0, 0],
      frame,
      Math.cos(axisAltitudeRad),
    ),
    fieldCircle: circleSeen(
      fields.map((field) => add(field, turnAlongIronNt)),
      turnAlongIronNt,
      frame,
      rms(fields.map((field) => acrossSquared(field, axisInBoard))),
    ),
  };
}

function meanTemperature(dwells: readonly Dwell[]): { temperatureC?: number } {
  const known = dwells.flatMap(({ temperatureC }) => temperatureC ?? []);
  return known.length > 0 ? { temperatureC: known.reduce((sum, value) => sum + value, 0) / known.length } : {};
}

const acrossSquared = (v: Vector3, axis: Vector3): number => norm(cross(v, axis)) ** 2;
