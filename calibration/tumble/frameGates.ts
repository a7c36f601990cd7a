import { degree } from '../angle.ts';
import type { Gate } from '../gate.ts';
import { determinant, identity3, type Matrix3 } from '../vector.ts';
import { nearness, type FrameMatch } from './frames.ts';

/** Frames above this ambiguity are not clear enough to be blamed. */
const clear = 0.3;

/** Which way round the sensors sit against each other, where that can be told. */
export function frameGates(frames: FrameMatch, nominal: Matrix3, fittedFieldMatrix: Matrix3 | undefined): Gate[] {
  const mirrored = frames.ambiguity < clear && determinant(frames.turn) < 0;
  const reversed = mirrored && nearness(frames.turn.map((v) => -v) as unknown as Matrix3, identity3) > 1 + Math.SQRT2;
  if (reversed) {
    return [
      {
        verdict: 'stop',
        reason: 'gravity and field disagree about what is up: one of them has all its signs reversed',
        value: determinant(frames.turn),
        limit: 0,
        unit: 'determinant',
        nextAction:
          'The accelerometer must read +1 g along the axis that points up, and the site must be on the right hemisphere.',
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
  const cosine = Math.max(-1, Math.min(1, (nearness(nominal, identity3) - 1) / 2));
  return [
    {
      verdict: 'caution',
      reason: "the magnetometer's axes are turned against the accelerometer's; the calibration turns them back",
      value: Math.acos(cosine) / degree,
      limit: 45,
      unit: 'degrees',
      nextAction: 'Declare the orientation of the chips on the board, then tumble again.',
    },
  ];
}
