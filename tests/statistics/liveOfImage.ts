import { LiveEstimator } from '../../calibration/live/estimator.ts';
import { ImageBoard } from '../../firmware-proto/virtual/imageBoard.ts';
import type { SceneName } from '../../firmware-proto/virtual/scenes.ts';
import { createWorld } from '../../firmware-proto/virtual/world.ts';
import { CappedLines } from '../../host/link/cappedLines.ts';
import { LineIntake } from '../../host/link/lineIntake.ts';
import { rehearseFast } from '../../host/live/rehearseFast.ts';
import { swingSite } from '../../host/site/swingSite.ts';

export interface ImageRun {
  estimates: number;
  /** Largest departure from the truth in stated sigmas, over all estimates from the second second on. */
  worstAltitude: number;
  worstAzimuth: number;
  worstDistance: number;
}

const settledS = 1;
/** Run in short stretches, so that the truth is that of the estimate's own time. */
const stretchS = 0.05;

/** The committed image on the emulated processor, as fast as it runs, through the wire to the needles. */
export function runImage(
  scene: SceneName,
  seed: number,
  seconds: number,
  onStretch: (board: ImageBoard<ReturnType<typeof createWorld>>, worldS: number) => void = () => {},
): ImageRun {
  const date = new Date('2026-11-25T00:00:00Z');
  const { swing } = rehearseFast(scene, { seed, date });
  const world = createWorld(scene, { seed, date });
  const board = new ImageBoard(world, { seed });
  const estimator = new LiveEstimator(swing.axisModel, swingSite(world.scene.place, date));
  const run: ImageRun = { estimates: 0, worstAltitude: 0, worstAzimuth: 0, worstDistance: 0 };
  const intake = new LineIntake({
    onSample: (sample) => {
      const estimate = estimator.offer(sample);
      if (!estimate || sample.boardS < settledS) return;
      const truth = world.truth();
      const inSigmas = (shown: number, real: number, sigma: number): number => Math.abs(shown - real) / sigma;
      run.estimates += 1;
      run.worstAltitude = Math.max(
        run.worstAltitude,
        inSigmas(estimate.altitudeErrorRad, truth.altitudeErrorRad, estimate.sigmaAltitudeErrorRad),
      );
      run.worstAzimuth = Math.max(
        run.worstAzimuth,
        inSigmas(estimate.azimuthErrorRad, truth.azimuthErrorRad, estimate.sigmaAzimuthErrorRad),
      );
      run.worstDistance = Math.max(
        run.worstDistance,
        inSigmas(estimate.distanceRad, truth.distanceRad, estimate.sigmaDistanceRad),
      );
    },
    onHello: () => {},
    onReply: () => {},
    onSoundLine: () => {},
  });
  let nowS = 0;
  const lines = new CappedLines((line, length) => void intake.take(line, length, nowS));
  board.onBytes((bytes) => lines.push(bytes));
  for (nowS = stretchS; nowS < seconds; nowS += stretchS) {
    onStretch(board, nowS);
    board.stepTo(nowS);
  }
  lines.close();
  return run;
}
