import { degree } from '../../calibration/angle.ts';
import type { AxisErrors } from '../../calibration/drift/driftModel.ts';
import { readShift } from '../../calibration/nudge/readShift.ts';
import type { FieldPlace } from '../../calibration/nudge/starAfter.ts';
import type { Vector3 } from '../../calibration/vector.ts';
import type { Hands } from '../../firmware-proto/virtual/hands.ts';

const believedRadPerTurn = 1.2 * degree;
const mostLooks = 10;

/** A star that was centred, and the eye that follows it. */
interface WatchedStar {
  starNed: Vector3;
  latitudeRad: number;
  from: AxisErrors;
  /** Where the axis is to stand. */
  aim: AxisErrors;
  sigmaReadRad: number;
  /** From where it stood at first; undefined when it has left the field. */
  read(): FieldPlace | undefined;
}

/** Virtual hands turn the bolts, altitude first, until the star stands where it must; they see the star and nothing else. */
export async function nudgeByEye(hands: Hands, star: WatchedStar, isOver: () => boolean): Promise<void> {
  const left = (bolt: 'altitude' | 'azimuth'): number | undefined => {
    const place = star.read();
    if (!place) return undefined;
    const shift = readShift(star.starNed, star.latitudeRad, star.from, place, star.sigmaReadRad);
    return bolt === 'altitude'
      ? star.aim.altitudeErrorRad - star.from.altitudeErrorRad - shift.altitudeShiftRad
      : star.aim.azimuthErrorRad - star.from.azimuthErrorRad - shift.azimuthShiftRad;
  };
  for (const bolt of ['altitude', 'azimuth', 'altitude'] as const) {
    for (let looks = 0; looks < mostLooks && !isOver(); looks += 1) {
      const leftRad = left(bolt);
      if (leftRad === undefined) return;
      if (Math.abs(leftRad) < star.sigmaReadRad) break;
      hands.turnBolt(bolt, leftRad / believedRadPerTurn);
      hands.rest(1);
      await hands.whenDone();
    }
  }
}
