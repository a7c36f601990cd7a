// Whole evenings of the rehearsal, fast: what its last statement says against what only the simulator knows.
import { degree } from '../../calibration/angle.ts';
import type { SceneName } from '../../firmware-proto/virtual/scenes.ts';
import { createWorld } from '../../firmware-proto/virtual/world.ts';
import { exitCode, Failure } from '../../host/failure.ts';
import { stepped } from '../../host/commands/runRehearse.ts';
import { swingSite } from '../../host/site/swingSite.ts';
import { wholeFlow } from '../../host/practice/wholeFlow.ts';

const date = new Date('2026-06-01T00:00:00Z');

export interface RehearsalFigures {
  evenings: number;
  /** Too much iron on the spacer: the swing says so, and the evening ends. */
  refused: number;
  altitudePull: number;
  azimuthPull: number;
  altitudeWithin2: number;
  azimuthWithin2: number;
  distanceDeg: number;
}

/** Errors of the last statement over its sigmas (rms), shares within two sigmas, and the true distance reached (rms). */
export async function rehearsals(scene: SceneName, seeds: readonly number[]): Promise<RehearsalFigures> {
  const altitude: number[] = [];
  const azimuth: number[] = [];
  const distance: number[] = [];
  for (const seed of seeds) {
    const world = createWorld(scene, { seed, date, tripodIronNt: 3000 });
    const { act } = stepped(world);
    const site = swingSite(world.scene.place, date);
    const flow = await wholeFlow({ act, site, tell: () => {}, useModel: () => {} }).catch((error: unknown) => {
      if (!(error instanceof Failure && error.code === exitCode.refused)) throw error;
      return undefined;
    });
    if (!flow) continue;
    const { locked } = flow;
    const truth = world.truth();
    altitude.push((locked.errors.altitudeErrorRad - truth.altitudeErrorRad) / locked.sigmaAltitudeErrorRad);
    azimuth.push((locked.errors.azimuthErrorRad - truth.azimuthErrorRad) / locked.sigmaAzimuthErrorRad);
    distance.push(truth.distanceRad / degree);
  }
  const rms = (values: readonly number[]): number =>
    Math.sqrt(values.reduce((sum, value) => sum + value ** 2, 0) / values.length);
  const within2 = (values: readonly number[]): number => values.filter((v) => Math.abs(v) < 2).length / values.length;
  return {
    evenings: altitude.length,
    refused: seeds.length - altitude.length,
    altitudePull: rms(altitude),
    azimuthPull: rms(azimuth),
    altitudeWithin2: within2(altitude),
    azimuthWithin2: within2(azimuth),
    distanceDeg: rms(distance),
  };
}
