import { degree } from '../../calibration/angle.ts';
import { LiveEstimator, type LiveEstimate } from '../../calibration/live/estimator.ts';
import { createWorld } from '../../firmware-proto/virtual/world.ts';
import type { SceneName } from '../../firmware-proto/virtual/scenes.ts';
import { collect } from '../../firmware-proto/virtual/worldSamples.ts';
import { rehearseFast } from '../../host/live/rehearseFast.ts';
import { swingSite } from '../../host/site/swingSite.ts';

/** One virtual set-up at rest: what the needles say after `seconds`, and what is true. */
export interface AtRest {
  estimate: LiveEstimate;
  /** Estimate minus truth over its stated sigma. */
  altitudeInSigmas: number;
  azimuthInSigmas: number;
  distanceInSigmas: number;
}

const date = new Date('2026-11-25T00:00:00Z');

/** The path that `watch --virtual` takes, without link and clock: rehearsal, the same world anew, its samples, the estimator. */
export function atRest(scene: SceneName, seed: number, seconds: number): AtRest {
  const { swing } = rehearseFast(scene, { seed, date });
  const world = createWorld(scene, { seed, date });
  const site = swingSite(world.scene.place, date);
  const estimator = new LiveEstimator(swing.axisModel, site);
  let estimate: LiveEstimate | undefined;
  for (const { timeS, ...sample } of collect(world, seconds, 100))
    estimate = estimator.offer({ ...sample, boardS: timeS }) ?? estimate;
  if (!estimate) throw new Error(`${scene}, seed ${seed}: no estimate`);
  const truth = world.truth();
  return {
    estimate,
    altitudeInSigmas: (estimate.altitudeErrorRad - truth.altitudeErrorRad) / estimate.sigmaAltitudeErrorRad,
    azimuthInSigmas: (estimate.azimuthErrorRad - truth.azimuthErrorRad) / estimate.sigmaAzimuthErrorRad,
    distanceInSigmas: (estimate.distanceRad - truth.distanceRad) / estimate.sigmaDistanceRad,
  };
}

export interface RestTable {
  scene: SceneName;
  seeds: number;
  /** Set-ups of which the error lies within one and within two stated sigmas. */
  altitudeWithin: [number, number];
  azimuthWithin: [number, number];
  distanceWithin: [number, number];
  /** Both altitude and azimuth within two. */
  bothWithinTwo: number;
  worstSigmas: number;
  medianSigmaAltitudeArcmin: number;
  medianSigmaAzimuthDeg: number;
}

export function tableOf(scene: SceneName, firstSeed: number, seeds: number, seconds: number): RestTable {
  const all = Array.from({ length: seeds }, (_, i) => atRest(scene, firstSeed + i, seconds));
  const within = (of: (one: AtRest) => number): [number, number] => [
    all.filter((one) => Math.abs(of(one)) < 1).length,
    all.filter((one) => Math.abs(of(one)) < 2).length,
  ];
  const median = (values: number[]): number => values.sort((a, b) => a - b)[values.length >> 1];
  return {
    scene,
    seeds,
    altitudeWithin: within((one) => one.altitudeInSigmas),
    azimuthWithin: within((one) => one.azimuthInSigmas),
    distanceWithin: within((one) => one.distanceInSigmas),
    bothWithinTwo: all.filter((one) => Math.abs(one.altitudeInSigmas) < 2 && Math.abs(one.azimuthInSigmas) < 2).length,
    worstSigmas: Math.max(...all.flatMap((one) => [Math.abs(one.altitudeInSigmas), Math.abs(one.azimuthInSigmas)])),
    medianSigmaAltitudeArcmin: median(all.map((one) => (one.estimate.sigmaAltitudeErrorRad / degree) * 60)),
    medianSigmaAzimuthDeg: median(all.map((one) => one.estimate.sigmaAzimuthErrorRad / degree)),
  };
}
