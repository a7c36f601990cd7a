import type { Gate } from '../gate.ts';
import type { TumbleCalibration } from '../tumble/types.ts';
import { vector3, type Vector3 } from '../vector.ts';
import { fitSwing } from './fitSwing.ts';
import { causesFirst, restsOnFit } from './causes.ts';
import { fitNoAxis, limits } from './limits.ts';
import type { Dwell, Face, SwingOptions, SwingResult } from './types.ts';

const sensors = { accelG: 'accelerometer', fieldNt: 'magnetometer' } as const;
const axisNames = 'xyz';
/** So many times better must chi-squared be with an axis turned round, before that axis is suspected. */
const farBetter = 10;

/**
 * A refused swing with its likeliest cause in front, if it is one that its own checks do not see: an axis of one sensor that
 * runs the wrong way makes field and gravity turn against each other, and turned round in the readings the rests fit. What that
 * does not explain is left as it was: something moved.
 */
export function withCause(
  swing: SwingResult,
  faces: readonly Face[],
  calibration: TumbleCalibration,
  options: SwingOptions,
): SwingResult {
  const isExplained = swing.gates.some((gate) => gate.verdict === 'stop' && !restsOnFit(gate));
  const mirrored = swing.accepted || isExplained ? [] : mirroredGates(swing, faces, calibration, options);
  return { ...swing, gates: causesFirst(mirrored, swing.gates) };
}

function mirroredGates(
  swing: SwingResult,
  faces: readonly Face[],
  calibration: TumbleCalibration,
  options: SwingOptions,
): Gate[] {
  if (!fitNoAxis(swing)) return [];
  const tried = (Object.keys(sensors) as (keyof typeof sensors)[]).flatMap((key) =>
    [...axisNames].map((name, axis) => ({
      name,
      sensor: sensors[key],
      misfit: fitSwing(
        faces.map((face) => face.map((dwell) => ({ ...dwell, [key]: turnedRound(dwell, key, axis) }))),
        calibration,
        options,
      ).misfit,
    })),
  );
  const [best] = tried.sort((one, other) => one.misfit - other.misfit);
  if (fitNoAxis(best) || best.misfit * farBetter > swing.misfit) return [];
  return [
    {
      verdict: 'stop',
      reason:
        `an axis has the wrong sign, most likely ${best.name} of the ${best.sensor}: with it reversed all rests fit ` +
        `to ${Math.sqrt(best.misfit).toFixed(1)} sigmas. Misfit as recorded`,
      value: Math.sqrt(swing.misfit),
      limit: limits.scatter.stop,
      unit: 'sigmas',
      nextAction:
        'Check that x, y and z of both sensors are right-handed and alike in tumble and swing (columns, signs, board), then record again.',
    },
  ];
}

const turnedRound = (dwell: Dwell, key: keyof typeof sensors, axis: number): Vector3 =>
  vector3(dwell[key].map((part, i) => (i === axis ? -part : part)));
