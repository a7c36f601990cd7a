import { degree } from '../angle.ts';
import type { Gate } from '../gate.ts';
import { determinant, identity3, type Matrix3 } from '../vector.ts';
import { nearness, type FrameMatch } from './frames.ts';
import { scaleMatrix3 } from './matrix.ts';

/** Frames above this ambiguity are not clear enough to be blamed. */
const clear = 0.3;

/** 1 + 2 cos of the angle (100 degrees) beyond which a turn and the mirror image in its place are about as likely. */
const farTurned = 0.65;

/** Which way round the sensors sit against each other, where that can be told. */
export function frameGates(frames: FrameMatch, nominal: Matrix3, fittedFieldMatrix: Matrix3 | undefined): Gate[] {
  const mirror = determinant(frames.turn) < 0;
  const turn = mirror ? opposite(frames.turn) : frames.turn;
  if (!frames.sided && frames.ambiguity < clear && nearness(turn, identity3) < farTurned) {
    return [
      {
        verdict: 'stop',
        reason:
          "the sensors' axes do not agree: one sensor is turned on the board, or it is left-handed (an axis is reversed)",
        value: turnedDegrees(turn),
        limit: 100,
        unit: 'degrees',
        nextAction:
          'Give the place of the tumble (--lat, --lon): the hemisphere decides between the two. Or correct the signs or the order of the axes.',
      },
    ];
  }
  const mirrored = frames.ambiguity < clear && mirror;
  const reversed = mirrored && nearness(turn, identity3) > 1 + Math.SQRT2;
  if (reversed) {
    return [
      {
        verdict: 'stop',
        reason: 'gravity and field disagree about what is up: one of them has all its signs reversed',
        value: determinant(frames.turn),
        limit: 0,
        unit: 'determinant',
        nextAction:
          'The accelerometer must read +1 g along the axis that points up, and the site must be in the right hemisphere.',
      },
    ];
  }
  if (mirrored || (fittedFieldMatrix && determinant(fittedFieldMatrix) < -0.1)) {
    return [
      {
        verdict: 'stop',
        reason: 'left-handed orientation: an axis of one sensor is reversed',
        value: determinant(mirrored ? frames.turn : (fittedFieldMatrix ?? identity3)),
        limit: 0,
        unit: 'determinant',
        nextAction: 'Correct the sign or the order of the axes: both sensors must have right-handed axes.',
      },
    ];
  }
  if (nominal === identity3) return [];
  return [
    {
      verdict: 'caution',
      reason: "the magnetometer's axes are turned against the accelerometer's; the calibration turns them back",
      value: turnedDegrees(nominal),
      limit: 45,
      unit: 'degrees',
      nextAction: 'Declare the orientation of the chips on the board, then tumble again.',
    },
  ];
}

const opposite = (m: Matrix3): Matrix3 => scaleMatrix3(m, -1);

const turnedDegrees = (turn: Matrix3): number =>
  Math.acos(Math.max(-1, Math.min(1, (nearness(turn, identity3) - 1) / 2))) / degree;
