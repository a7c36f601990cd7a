import { DwellFinder, shotDwells } from '../../calibration/swing/dwell.ts';
import type { Dwell } from '../../calibration/swing/types.ts';
import type { Vector3 } from '../../calibration/vector.ts';
import type { CsvOptions } from '../capture/csv/options.ts';
import type { Recording } from '../capture/recorded.ts';
import { openRecording, sayPassedOver } from '../capture/recording.ts';
import { exitCode, Failure } from '../failure.ts';

/** Rows that stand alone are each a rest of their own; more than this can be no swing made by hand. */
const mostShots = 5000;
/** Rows this far apart in time are not of one rest either: somebody noted a mean at each place. */
const shotGapS = 0.5;

/**
 * The rests in a file: found in time, or row by row where the file has no time or its rows lie far apart. Memory grows with the
 * rests only.
 * @param needsField false where gravity alone will do
 * Throws Failure where the file lacks what is needed.
 */
export async function readDwells(
  path: string,
  { needsField = true, csv }: { needsField?: boolean; csv?: CsvOptions } = {},
): Promise<{ dwells: readonly Dwell[]; recording: Recording }> {
  const recording = await openRecording(path, csv);
  const { has, scaleKnown } = recording;
  if (!has.accelerometer || (needsField && !has.magnetometer) || !scaleKnown) {
    throw new Failure(
      exitCode.badData,
      `${path} ${scaleKnown ? `has no ${has.accelerometer ? 'magnetometer' : 'accelerometer'}` : 'holds counts of unknown scale'}.`,
      `Record ${needsField ? 'ax_g,ay_g,az_g,mx_ut,my_ut,mz_ut' : 'ax_g,ay_g,az_g'} (and t_s) of the board, or name the columns with --columns.`,
    );
  }
  const finder = new DwellFinder();
  const shots: { accelG: Vector3; fieldNt: Vector3 }[] = [];
  let lastS = -Infinity;
  let standAlone = true;
  for await (const { timeS, accelG, fieldNt = [0, 0, 0] as Vector3, temperatureC } of recording.samples) {
    if (!accelG) continue;
    if (timeS !== undefined) {
      finder.offer({ boardS: timeS, accelG, fieldNt, temperatureC });
      standAlone &&= Math.abs(timeS - lastS) >= shotGapS;
      lastS = timeS;
    }
    if (!standAlone) shots.length = 0;
    else if (shots.push({ accelG, fieldNt }) > mostShots) {
      throw new Failure(
        exitCode.badData,
        `${path} has more than ${mostShots} rows ${timeS === undefined ? 'and no t_s column' : 'that lie half a second and more apart'}.`,
        'Each such row counts as one rest: give the mean of each rest, or record at least ten rows a second with t_s.',
      );
    }
  }
  finder.close();
  sayPassedOver(recording);
  return { dwells: standAlone ? shotDwells(shots) : finder.dwells, recording };
}
