import { degree } from '../../calibration/angle.ts';
import type { TimedReading } from '../../calibration/swing/timedReading.ts';
import { Random } from '../../firmware-proto/virtual/random.ts';

/**
 * Feeds a board at 50 readings a second, as `plainAxisModel` reads it, whose axis stands 35 degrees and `higherRad` high over time; a
 * bolt moves it by less than a hand's swing.
 */
export function axisFeeder(
  offer: (reading: TimedReading) => void,
): (seconds: number, higherRad: (shareOfTime: number) => number) => void {
  const random = new Random(12);
  let boardS = 0;
  return (seconds, higherRad) => {
    for (let i = 0; i < seconds * 50; i += 1) {
      boardS += 0.02;
      const altitudeRad = 35 * degree + higherRad(i / (seconds * 50));
      const [x, y, z] = random.normal3(0.002);
      const turnedRad = 65 * degree + altitudeRad;
      const [p, q, r] = random.normal3(300);
      offer({
        boardS,
        accelG: [Math.sin(altitudeRad) + x, y, Math.cos(altitudeRad) + z],
        fieldNt: [54_000 * Math.cos(turnedRad) + p, q, -54_000 * Math.sin(turnedRad) + r],
      });
    }
  };
}
