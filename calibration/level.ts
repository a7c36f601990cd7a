import { degree } from './angle.ts';
import type { Gate } from './gate.ts';
import { norm, type Vector3 } from './vector.ts';

/** Mean of the corrected accelerometer at rest on the base. */
export interface LyingReading {
  /** g; the board's z axis upward, its x axis toward north in the first position and toward south in the second. */
  accelG: Vector3;
  sigmaAccelG: number;
}

export interface LevelResult {
  accepted: boolean;
  gates: readonly Gate[];
  /** > 0: the north side of the base is high. */
  northHighRad: number;
  /** > 0: the east side of the base is high. */
  eastHighRad: number;
  tiltRad: number;
  sigmaTiltRad: number;
  /** What reversal takes away: bias of the accelerometer and seat of the board together, along x and y. */
  offsetRad: readonly [number, number];
  /** Altitude error gained per azimuth error gained when only the azimuth bolts turn, and the other way round. */
  altitudePerAzimuth: number;
  azimuthPerAltitude: number;
}

/** A board set down twice lies alike to about this (common practice). */
const seatRad = 0.02 * degree;
const limitDeg = { caution: 2, stop: 10 };

/**
 * Tilt of the base by reversal (surveying handbooks: a level read, turned by half a turn and read again; half the difference is
 * the tilt, half the sum the instrument's own error; common practice).
 *
 * Coupling, to first order, with the east side of the base high by t (own derivation): azimuth turns about the base's vertical, so
 * moving the axis east by d raises it by t d; altitude runs along the great circle toward that vertical, which leans west, so
 * raising the axis by d at altitude h moves it west by t d / cos^2 h.
 */
export function fitLevel(north: LyingReading, south: LyingReading, poleAltitudeRad: number): LevelResult {
  const [a, b] = [north, south].map(({ accelG }) => {
    const strength = norm(accelG);
    return [Math.asin(accelG[0] / strength), Math.asin(accelG[1] / strength)] as const;
  });
  const northHighRad = (a[0] - b[0]) / 2;
  const eastHighRad = (b[1] - a[1]) / 2;
  const tiltRad = Math.hypot(northHighRad, eastHighRad);
  const upright = Math.min(north.accelG[2] / norm(north.accelG), south.accelG[2] / norm(south.accelG));
  const tiltDeg = tiltRad / degree;
  const gates: Gate[] = [
    {
      verdict: upright > 0.9 ? 'ok' : 'stop',
      reason: 'the board lies flat, its z axis upward, both times',
      value: upright,
      limit: 0.9,
      unit: 'g',
      nextAction: 'Lay the board flat on the base, z upward and x toward north; then the same turned by half a turn.',
    },
    {
      verdict: tiltDeg > limitDeg.stop ? 'stop' : tiltDeg > limitDeg.caution ? 'caution' : 'ok',
      reason: 'tilt of the base',
      value: tiltDeg,
      limit: limitDeg.caution,
      unit: 'deg',
      nextAction: 'Shorten or lengthen a leg until the base is level to about a degree, then measure again.',
    },
  ];
  return {
    accepted: !gates.some(({ verdict }) => verdict === 'stop'),
    gates,
    northHighRad,
    eastHighRad,
    tiltRad,
    sigmaTiltRad: Math.hypot(north.sigmaAccelG, south.sigmaAccelG, seatRad * Math.SQRT2) / 2,
    offsetRad: [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2],
    altitudePerAzimuth: eastHighRad,
    azimuthPerAltitude: -eastHighRad / Math.cos(poleAltitudeRad) ** 2,
  };
}
