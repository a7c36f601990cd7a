import { degree, wrapPi } from './angle.ts';
import type { Gate } from './gate.ts';
import { add, cross, dot, norm, normalise, scale, subtract, type Vector3 } from './vector.ts';

/** Mean of the corrected accelerometer at rest on the base. */
export interface LyingReading {
  /** g; the board's z axis upward, its x axis toward north in the first position and toward south in the second. */
  accelG: Vector3;
  sigmaAccelG: number;
  /** Mean of the magnetometer, with its own constant errors if need be; absent where there is none. */
  fieldNt?: Vector3;
  /** A tumble's calibration took those errors out of the field. */
  isFieldCalibrated?: boolean;
}

/** Where the base stands. */
export interface LevelPlace {
  poleAltitudeRad: number;
  /** The Earth's field, its dip, and its azimuth from true north through east. */
  fieldNt: number;
  dipRad: number;
  variationRad: number;
}

export interface LevelResult {
  accepted: boolean;
  gates: readonly Gate[];
  /** > 0: the north side of the base is high. */
  northHighRad: number;
  /** > 0: the east side of the base is high. */
  eastHighRad: number;
  tiltRad: number;
  /** Of the tilt in any direction, with what setting the board by hand leaves open. */
  sigmaTiltRad: number;
  /** Angle between the two positions, as the field tells it; absent without a magnetometer. */
  turnRad?: number;
  /** What reversal takes away: bias of the accelerometer and seat of the board together, along x and y. */
  offsetRad: readonly [number, number];
  /** Altitude error gained per azimuth error gained when only the azimuth bolts turn, and the other way round. */
  altitudePerAzimuth: number;
  azimuthPerAltitude: number;
}

/** A board set down twice lies alike to about this (common practice). */
const seatRad = 0.02 * degree;
const limitDeg = { caution: 2, stop: 10 };
/** How well x is set toward north, and half a turn is met, by hand (assumed). */
const byHandRad = 5 * degree;
/** Iron at the mount and a chip's own scale may weaken this measure by nearly a fifth; a quarter turn shows as 90 degrees. */
const leastTurnDeg = 110;
/** Iron at the mount turns a compass by some degrees; a quarter turn shows as 45. */
const offNorthLimitDeg = { caution: 15, stop: 30 };

/**
 * Tilt of the base by reversal (surveying handbooks: a level read, turned by half a turn and read again; half the difference is
 * the tilt, half the sum the instrument's own error; common practice).
 *
 * Coupling, to first order, with the east side of the base high by t (own derivation): azimuth turns about the base's vertical, so
 * moving the axis east by d raises it by t d; altitude runs along the great circle toward that vertical, which leans west, so
 * raising the axis by d at altitude h moves it west by t d / cos^2 h.
 */
export function fitLevel(north: LyingReading, south: LyingReading, place: LevelPlace): LevelResult {
  const [a, b] = [north, south].map(({ accelG }) => {
    const strength = norm(accelG);
    return [Math.asin(accelG[0] / strength), Math.asin(accelG[1] / strength)] as const;
  });
  const northHighRad = (a[0] - b[0]) / 2;
  const eastHighRad = (b[1] - a[1]) / 2;
  const tiltRad = Math.hypot(northHighRad, eastHighRad);
  const upright = Math.min(north.accelG[2] / norm(north.accelG), south.accelG[2] / norm(south.accelG));
  const tiltDeg = tiltRad / degree;
  const set = howSet(north, south, place);
  const gates: Gate[] = [
    {
      verdict: upright > 0.9 ? 'ok' : 'stop',
      reason: 'the board lies flat, its z axis upward, both times',
      value: upright,
      limit: 0.9,
      unit: 'g',
      nextAction:
        'Lay the board flat on the base, z upward and x toward north. Then turn it by half a turn and repeat.',
    },
    ...(set ? settingGates(set) : []),
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
    sigmaTiltRad: Math.hypot(
      Math.hypot(north.sigmaAccelG, south.sigmaAccelG, seatRad * Math.SQRT2) / 2,
      tiltRad * Math.hypot(byHandRad, set ? set.offNorthRad : 0),
    ),
    ...(set && { turnRad: set.turnRad }),
    offsetRad: [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2],
    altitudePerAzimuth: eastHighRad,
    azimuthPerAltitude: -eastHighRad / Math.cos(place.poleAltitudeRad) ** 2,
  };
}

interface Setting {
  turnRad: number;
  /** Mean of both positions, clockwise seen from above. */
  offNorthRad: number;
  /** The turn was told by the headings, not by the strength that the model gives. */
  isByHeadings: boolean;
}

/**
 * How the board was set, by its magnetometer: the difference of both readings has no constant error of the chip in it. For
 * headings p and q the level field H seen from the board differs by 2 H sin((q - p) / 2), and that difference points the mean
 * of p and q - 180 degrees away from magnetic north (own derivation). Half the difference of gravity is the tilt times the
 * same sine, turned by the same mean: so what is off here is the error of the tilt. Calibrated readings each have a heading of
 * their own, so that the turn is known however iron at the mount weakens the field.
 */
function howSet(north: LyingReading, south: LyingReading, place: LevelPlace): Setting | undefined {
  if (!north.fieldNt || !south.fieldNt) return undefined;
  const [levelNt, downNt] = [place.fieldNt * Math.cos(place.dipRad), place.fieldNt * Math.sin(place.dipRad)];
  const up = normalise(north.accelG);
  // the vertical part, which the tilt makes to differ, is taken off as the model gives it: a reading's own has the chip's error
  const tipped = scale(subtract(up, normalise(south.accelG)), downNt);
  const level = add(subtract(north.fieldNt, south.fieldNt), tipped);
  const ahead = normalise(subtract([1, 0, 0], scale(up, up[0])));
  // up x ahead is the board's left, so that a field at the left means a heading to the right of it
  const headingRad = Math.atan2(dot(level, cross(up, ahead)), dot(level, ahead));
  const isByHeadings = north.isFieldCalibrated === true && south.isFieldCalibrated === true;
  return {
    turnRad: isByHeadings
      ? turnOfHeadings(north.fieldNt, south.fieldNt, up)
      : 2 * Math.asin(Math.min(norm(level) / (2 * levelNt), 1)),
    offNorthRad: wrapPi(headingRad + place.variationRad),
    isByHeadings,
  };
}

/** 0..pi, whichever way it went. */
function turnOfHeadings(one: Vector3, other: Vector3, up: Vector3): number {
  const [a, b] = [cross(up, one), cross(up, other)];
  return Math.atan2(norm(cross(a, b)), dot(a, b));
}

function settingGates({ turnRad, offNorthRad, isByHeadings }: Setting): Gate[] {
  const nextAction =
    'Lay the board with x toward north, then turn it by half a turn about the vertical, and keep iron away from it.';
  const ironWords =
    ' If the base itself is of iron and halves the field, tumble the board first: a calibrated board measures this turn despite the iron.';
  const [turnDeg, offNorthDeg] = [turnRad / degree, Math.abs(offNorthRad) / degree];
  return [
    {
      verdict: turnDeg >= leastTurnDeg ? 'ok' : 'stop',
      reason: 'turn between the two positions, by the magnetometer; half a turn is expected',
      value: turnDeg,
      limit: leastTurnDeg,
      unit: 'deg',
      nextAction: isByHeadings ? nextAction : nextAction + ironWords,
    },
    {
      verdict:
        offNorthDeg <= offNorthLimitDeg.caution ? 'ok' : offNorthDeg <= offNorthLimitDeg.stop ? 'caution' : 'stop',
      reason:
        'angle of x from north in the first position and from south in the second (mean of both, by the magnetometer)',
      value: offNorthDeg,
      limit: offNorthDeg <= offNorthLimitDeg.stop ? offNorthLimitDeg.caution : offNorthLimitDeg.stop,
      unit: 'deg',
      nextAction,
    },
  ];
}
