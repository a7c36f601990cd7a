import { wrapPi } from './angle.ts';
import type { AxisModel } from './axisModel.ts';
import { correct } from './correction.ts';
import { axisSeen } from './swing/axisSeen.ts';
import type { Dwell } from './swing/types.ts';
import { cross, norm, normalise } from './vector.ts';

/** What tightening a bolt did to the axis, in the signs of the errors. */
export interface LockShift {
  altitudeShiftRad: number;
  azimuthShiftRad: number;
  /** Of the axis itself, along a great circle. */
  distanceRad: number;
  sigmaAltitudeShiftRad: number;
  sigmaAzimuthShiftRad: number;
  sigmaDistanceRad: number;
}

/**
 * Shift of the axis between two rests with the right-ascension axis untouched: everything systematic is the same before and
 * after, so only the noise of the two rests is left.
 */
export function lockShift(model: AxisModel, before: Dwell, after: Dwell, hemisphere: 'north' | 'south'): LockShift {
  const [from, to] = [before, after].map((dwell) => axisSeen(model.correction, model.axisInBoard, dwell));
  const eastward = hemisphere === 'north' ? 1 : -1;
  const level = Math.cos(from.altitudeRad);
  const altitudeShiftRad = to.altitudeRad - from.altitudeRad;
  const azimuthShiftRad = eastward * wrapPi(to.azimuthRad - from.azimuthRad);

  const up = normalise(correct(model.correction.accelerometer, before.accelG));
  const field = correct(model.correction.magnetometer, before.fieldNt);
  const horizontalNt = norm(cross(up, field));
  const tanDip = Math.sqrt(norm(field) ** 2 - horizontalNt ** 2) / horizontalNt;
  const sigmaG = Math.hypot(before.sigmaAccelG, after.sigmaAccelG);
  const sigmaNt = Math.hypot(before.sigmaFieldNt, after.sigmaFieldNt);
  // A tilt of the found vertical across the axis turns the level part of field (tan dip) and axis (tan altitude) against each other.
  const sigmaAzimuthShiftRad = Math.hypot(
    sigmaNt / horizontalNt,
    sigmaG * (tanDip + Math.tan(Math.abs(from.altitudeRad))),
  );
  const across = azimuthShiftRad * level;
  const distanceRad = Math.hypot(altitudeShiftRad, across);
  const [a, b] =
    distanceRad > 0 ? [altitudeShiftRad / distanceRad, across / distanceRad] : [Math.SQRT1_2, Math.SQRT1_2];
  return {
    altitudeShiftRad,
    azimuthShiftRad,
    distanceRad,
    sigmaAltitudeShiftRad: sigmaG,
    sigmaAzimuthShiftRad,
    sigmaDistanceRad: Math.hypot(a * sigmaG, b * level * sigmaAzimuthShiftRad),
  };
}
