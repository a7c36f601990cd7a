import { degree } from '../angle.ts';
import { correct } from '../correction.ts';
import { toNed } from '../polarAxis.ts';
import type { TumbleCalibration } from '../tumble/types.ts';
import { angleBetweenRad, dot, normalise, scale, tangentsOf, type Vector3 } from '../vector.ts';
import { adjustSwing } from './adjustSwing.ts';
import { axisSeen } from './axisSeen.ts';
import { describeSwing } from './describe.ts';
import { adjustAtPlace, usualChange } from './fitSwing.ts';
import { causesFirst, poleGates, siteGates, stuckGates, turnGate } from './causes.ts';
import { placeGate, scatterGates } from './gates.ts';
import type { HeldDwell } from './model.ts';
import type { Dwell, SwingOptions, SwingResult } from './types.ts';

export interface ReversalOptions extends SwingOptions {
  /** How parallel to the polar axis the seat of the clip is, one sigma in each direction across. */
  seatRad?: number;
}

/**
 * No swing takes the mount's own iron out: it stays with the place. By so much it bends the azimuth by less
 * than the seat may (assumed); only what is on the board's clip goes round with the board.
 */
const ironWhereNothingTurns = { placeFieldNt: 150, turnAlongIronNt: 300 };
const zero: Vector3 = [0, 0, 0];

/**
 * For a board that can only sit on a part that does not turn: dwells one way round and end for end on the same seat, in place of
 * a swing. What is constant in the board, the accelerometer's bias along the axis and the tilt of the board in its clip, falls
 * out; the seat's own error and the board's turn in it stay, so that the sigma is at least `seatRad` both ways. `toward` (default: board x) is the board
 * direction that points to the elevated pole in the first position.
 * Throws RangeError without a dwell of either.
 */
export function fitReversal(
  first: readonly Dwell[],
  reversed: readonly Dwell[],
  calibration: TumbleCalibration,
  options: ReversalOptions = {},
): SwingResult {
  if (first.length === 0 || reversed.length === 0) throw new RangeError('reversal: a rest each way round is needed');
  const { seatRad = 1 * degree, toward = [1, 0, 0] as Vector3 } = options;
  const axis = normalise(toward);
  const [one, two] = tangentsOf(axis);
  const held = [
    ...first.map((dwell): HeldDwell => ({ dwell, clipping: 0, sense: 1 })),
    ...reversed.map((dwell): HeldDwell => ({ dwell, clipping: 0, sense: -1 })),
  ];
  const seen = held.map(({ dwell, sense }) => axisSeen(calibration.correction, scale(axis, sense), dwell));
  const rollRad = held.map(({ dwell, sense }) => {
    const up = correct(calibration.correction.accelerometer, dwell.accelG);
    return Math.atan2(sense * dot(up, two), dot(up, one));
  });
  const change = { ...usualChange([...first, ...reversed]), ...ironWhereNothingTurns, ...options.change };
  const begin = { altitudeRad: seen[0].altitudeRad, azimuthRad: seen[0].azimuthRad, rollRad, ironNt: [zero] };
  const swing = adjustAtPlace((at) => adjustSwing(held, calibration, [axis], [begin], at, seatRad), change);
  const turnedRad = Math.PI - angleBetweenRad(toNed(seen[0]), toNed(seen[seen.length - 1]));
  // The board's turn in the seat is in the fit already; how far the seat itself lies from the axis no turning round can tell.
  const withSeat = {
    ...swing,
    sigmaCreepRad: Math.hypot(swing.sigmaCreepRad, seatRad),
    sigmaPlaceAzimuthRad: Math.hypot(swing.sigmaPlaceAzimuthRad, seatRad / Math.cos(seen[0].altitudeRad)),
  };
  return describeSwing(withSeat, options, (_arc, _roll, _sigma, errors) =>
    causesFirst(
      [
        ...siteGates(swing, options.site),
        ...stuckGates(swing),
        turnGate(turnedRad, 'Take the board off, turn it end for end, and clip it on the same seat.'),
        ...poleGates(swing, errors),
      ],
      [...scatterGates(swing), placeGate(swing)],
    ),
  );
}
