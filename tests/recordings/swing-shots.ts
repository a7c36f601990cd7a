// Real boards: tumble on sixteen static shots, the real swing fit on the eight others, both ways round.
import { degree } from '../../calibration/angle.ts';
import { axisSeen } from '../../calibration/swing/axisSeen.ts';
import { shotDwells } from '../../calibration/swing/dwell.ts';
import { fitSwing } from '../../calibration/swing/fitSwing.ts';
import { fitTumble } from '../../calibration/tumble/fit.ts';
import { angleBetweenRad } from '../../calibration/vector.ts';
import { angularDeviation, median, readSamples, readTable, shotFiles } from './tumble-files.ts';
import { judgeShots, plainEllipsoid } from './tumble-judges.ts';

export { median };

export interface ShotSwing {
  file: string;
  /** Azimuth of the axis over the eight shots, with the calibration as the swing leaves it: one figure for each group. */
  spreadsDeg: number[];
  /** The same with the tumble's calibration alone. */
  tumbleOnlyDeg: number[];
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
      const swing = fitSwing([dwells], calibration);
      const tumbleOnly = dwells.map((dwell) => axisSeen(calibration.correction, swing.axisInBoard, dwell).azimuthRad);
      return { swing, tumbleOnlyDeg: angularDeviation(tumbleOnly) / degree };
    });
    return {
      file,
      spreadsDeg: found.map(({ swing }) => swing.spreadAzimuthRad / degree),
      tumbleOnlyDeg: found.map(({ tumbleOnlyDeg }) => tumbleOnlyDeg),
      agreesDeg: angleBetweenRad(found[0].swing.axisInBoard, found[1].swing.axisInBoard) / degree,
      refused: found.flatMap(({ swing }) =>
        swing.gates.filter(({ verdict }) => verdict === 'stop').map(({ reason }) => reason),
      ),
    };
  });

/** The plain way on the same shots: algebraic ellipsoid, gravity as read. */
export const plainSwing = (): { spreadsDeg: number[]; agreesDeg: number }[] =>
  shotFiles.map((file) => {
    const { spreadsRad, axisDisagreementRad } = judgeShots(file, plainEllipsoid);
    return { spreadsDeg: spreadsRad.map((rad) => rad / degree), agreesDeg: axisDisagreementRad / degree };
  });
