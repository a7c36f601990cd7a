import { LiveEstimator, type LiveEstimate } from '../../calibration/live/estimator.ts';
import type { BoardChipNames } from '../../firmware-proto/virtual/chips/models.ts';
import { makeOf } from '../../firmware-proto/virtual/chips/parts.ts';
import { ImageBoard } from '../../firmware-proto/virtual/imageBoard.ts';
import type { SceneName } from '../../firmware-proto/virtual/scenes.ts';
import { createWorld, type VirtualWorld } from '../../firmware-proto/virtual/world.ts';
import { CappedLines } from '../../host/link/cappedLines.ts';
import { LineIntake } from '../../host/link/lineIntake.ts';
import { rehearseFast } from '../../host/live/rehearseFast.ts';
import { swingSite } from '../../host/site/swingSite.ts';

export interface ImageRun {
  estimates: number;
  /** Accelerometer and magnetometer as the board's hello names them; a hello comes by itself after the start. */
  named?: string;
  /** Largest departure from the truth in stated sigmas, over all estimates from the second second on. */
  worstAltitude: number;
  worstAzimuth: number;
  worstDistance: number;
  last?: LiveEstimate;
  /** Altitude and azimuth of the last one. */
  lastInSigmas: readonly [number, number] | readonly [];
}

interface EmulatedInWorld {
  stepTo(worldS: number): void;
  onBytes(listener: (bytes: Uint8Array) => void): void;
}

interface ImageOptions {
  /** Those of the scenes by default. */
  chips?: BoardChipNames;
  boardIn?: (world: VirtualWorld) => EmulatedInWorld;
}

const settledS = 1;
/** Run in short stretches, so that the truth is that of the estimate's own time. */
const stretchS = 0.05;
const date = new Date('2026-11-25T00:00:00Z');

/** A committed image on an emulated processor, as fast as it runs, through the wire to the needles. */
export function runImage(scene: SceneName, seed: number, seconds: number, options: ImageOptions = {}): ImageRun {
  const { chips } = options;
  const drawn = { seed, date, ...(chips && { chip: makeOf(chips.accelerometer, chips.magnetometer) }) };
  const { swing } = rehearseFast(scene, drawn);
  const world = createWorld(scene, drawn);
  const board = options.boardIn?.(world) ?? new ImageBoard(world, { seed, chips });
  const estimator = new LiveEstimator(swing.axisModel, swingSite(world.scene.place, date));
  const run: ImageRun = { estimates: 0, worstAltitude: 0, worstAzimuth: 0, worstDistance: 0, lastInSigmas: [] };
  const intake = new LineIntake({
    onSample: (sample) => {
      const estimate = estimator.offer(sample);
      if (!estimate || sample.boardS < settledS) return;
      const truth = world.truth();
      const inSigmas = (shown: number, real: number, sigma: number): number => Math.abs(shown - real) / sigma;
      run.estimates += 1;
      run.last = estimate;
      const altitude = inSigmas(estimate.altitudeErrorRad, truth.altitudeErrorRad, estimate.sigmaAltitudeErrorRad);
      const azimuth = inSigmas(estimate.azimuthErrorRad, truth.azimuthErrorRad, estimate.sigmaAzimuthErrorRad);
      run.lastInSigmas = [altitude, azimuth];
      run.worstAltitude = Math.max(run.worstAltitude, altitude);
      run.worstAzimuth = Math.max(run.worstAzimuth, azimuth);
      run.worstDistance = Math.max(
        run.worstDistance,
        inSigmas(estimate.distanceRad, truth.distanceRad, estimate.sigmaDistanceRad),
      );
    },
    onHello: ({ accelerometer, magnetometer }) => {
      run.named = `${accelerometer.name} + ${magnetometer.name}`;
    },
    onReply: () => {},
    onSoundLine: () => {},
  });
  let nowS = 0;
  const lines = new CappedLines((line, length) => void intake.take(line, length, nowS));
  board.onBytes((bytes) => lines.push(bytes));
  for (nowS = stretchS; nowS < seconds; nowS += stretchS) {
    board.stepTo(nowS);
  }
  lines.close();
  return run;
}
