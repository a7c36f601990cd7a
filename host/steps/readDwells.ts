import { DwellFinder, shotDwells } from '../../calibration/swing/dwell.ts';
import type { Dwell } from '../../calibration/swing/types.ts';
import type { Vector3 } from '../../calibration/vector.ts';
import { openRecording, type Recording } from '../capture/recording.ts';
import { exitCode, Failure } from '../failure.ts';

/** Rows that stand alone are each a rest of their own; more than this can be no swing made by hand. */
const mostShots = 500;

/**
 * The rests in a file: found in time, or row by row where the file has no time. Memory grows with the rests only.
 * @param needsField false where gravity alone will do
 * Throws Failure where the file lacks what is needed.
 */
export async function readDwells(
  path: string,
  { needsField = true }: { needsField?: boolean } = {},
): Promise<{ dwells: readonly Dwell[]; recording: Recording }> {
  const recording = await openRecording(path);
  const { has, scaleKnown } = recording;
  if (!has.accelerometer || (needsField && !has.magnetometer) || !scaleKnown) {
    throw new Failure(
      exitCode.badData,
      `${path} ${scaleKnown ? `has no ${has.accelerometer ? 'magnetometer' : 'accelerometer'}` : 'holds counts of unknown scale'}.`,
      `Record ${needsField ? 'ax_g,ay_g,az_g,mx_ut,my_ut,mz_ut' : 'ax_g,ay_g,az_g'} (and t_s) of the board.`,
    );
  }
  const finder = new DwellFinder();
  const shots: { accelG: Vector3; fieldNt: Vector3 }[] = [];
  for await (const { timeS, accelG, fieldNt = [0, 0, 0] as Vector3, temperatureC } of recording.samples) {
    if (!accelG) continue;
    if (timeS !== undefined) finder.offer({ boardS: timeS, accelG, fieldNt, temperatureC });
    else if (shots.push({ accelG, fieldNt }) > mostShots) {
      throw new Failure(
        exitCode.badData,
        `${path} has no t_s column and more than ${mostShots} rows.`,
        'Rows without a time are taken as one rest each: give the mean of each rest, or add t_s.',
      );
    }
  }
  finder.close();
  return { dwells: shots.length > 0 ? shotDwells(shots) : finder.dwells, recording };
}
