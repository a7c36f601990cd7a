// Real boards: tumble on sixteen static shots, the real swing fit on the eight others, both ways round.
import { degree } from '../../calibration/angle.ts';
import { shotDwells } from '../../calibration/swing/dwell.ts';
import { fitSwing } from '../../calibration/swing/fitSwing.ts';
import { fitTumble } from '../../calibration/tumble/fit.ts';
import { angleBetweenRad } from '../../calibration/vector.ts';
import { median, readSamples, readTable, shotFiles } from './tumble-files.ts';
import { judgeShots, plainEllipsoid } from './tumble-judges.ts';

export { median };

export interface ShotSwing {
  file: string;
  /** Azimuth of the axis over the eight shots, with the calibration as the swing leaves it: one figure for each group. */
  spreadsDeg: number[];
  agreesDeg: number;
  refused: string[];
}

export const realSwings = (): ShotSwing[] =>
  shotFiles.map((file) => {
    const table = readTable(file);
    const samples = readSamples(table);
    const group = table.column('group');
    const found = [1, 2].map((held) => {
      const { calibration } = fitTumble(samples.filter((_, i) => group[i] !== held));
      if (!calibration) throw new Error(`${file}: no calibration without group ${held}`);
      const dwells = shotDwells(samples.filter((_, i) => group[i] === held));
      return fitSwing([dwells], calibration);
    });
    return {
      file,
      spreadsDeg: found.map(({ spreadAzimuthRad }) => spreadAzimuthRad / degree),
      agreesDeg: angleBetweenRad(found[0].axisInBoard, found[1].axisInBoard) / degree,
      refused: found.flatMap(({ gates }) =>
        gates.filter(({ verdict }) => verdict === 'stop').map(({ reason }) => reason),
      ),
    };
  });

/** The plain way on the same shots: algebraic ellipsoid, gravity as read. */
export const plainSwing = (): { spreadsDeg: number[]; agreesDeg: number }[] =>
  shotFiles.map((file) => {
    const { spreadsRad, axisDisagreementRad } = judgeShots(file, plainEllipsoid);
    return { spreadsDeg: spreadsRad.map((rad) => rad / degree), agreesDeg: axisDisagreementRad / degree };
  });
