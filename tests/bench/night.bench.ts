import { arcminute } from '../../calibration/angle.ts';
import type { Anchor } from '../../calibration/live/estimator.ts';
import type { SceneName } from '../../firmware-proto/virtual/scene.ts';
import { VirtualNight } from '../../host/practice/rehearseNight.ts';

const nights = 40;
const starts: Record<SceneName, string> = { orchard: '2027-01-15T04:00:00Z', woolshed: '2027-01-15T11:00:00Z' };
const rungs = [
  'compass',
  'six sights',
  'drift of two stars',
  'answer after nudging and locking',
  'needles at the end',
] as const;

/** Whole nights in the virtual scenes: after each rung the true distance from the pole, and the answer's error over its stated sigma. */
export async function run(): Promise<void> {
  const rows = (['orchard', 'woolshed'] as const).flatMap((scene) => {
    const all = Array.from({ length: nights }, (_, i) => wholeNight(scene, i + 1));
    return rungs.map((rung, i) => {
      const after = all.map((one) => one[i]);
      const errors = after.flatMap(({ inSigmas }) => inSigmas);
      return {
        scene,
        rung,
        seeds: `1-${nights}`,
        'stated sigma (arcmin), median': median(after.map(({ sigmaRad }) => sigmaRad / arcminute)).toFixed(2),
        'true distance then (arcmin), median': median(after.map((one) => one.trueRad / arcminute)).toFixed(1),
        'error over sigma, rms (1)': Math.sqrt(errors.reduce((sum, z) => sum + z * z, 0) / errors.length).toFixed(2),
        'within 1 sigma (68 %)': percent(errors, 1),
        'within 2 sigma (95 %)': percent(errors, 2),
      };
    });
  });
  console.table(rows);
}

interface Rung {
  inSigmas: number[];
  sigmaRad: number;
  trueRad: number;
}

/** What is stated against the truth of now. */
function against({ world }: VirtualNight, stated: Anchor): Omit<Rung, 'trueRad'> {
  const truth = world.truth();
  const { sigmaAltitudeErrorRad: sigmaAltitude, sigmaAzimuthErrorRad: sigmaAzimuth } = stated;
  return {
    inSigmas: [
      (stated.altitudeErrorRad - truth.altitudeErrorRad) / sigmaAltitude,
      (stated.azimuthErrorRad - truth.azimuthErrorRad) / sigmaAzimuth,
    ],
    sigmaRad: Math.hypot(sigmaAltitude, sigmaAzimuth * Math.cos(world.scene.place.latitudeRad)),
  };
}

function wholeNight(scene: SceneName, seed: number): Rung[] {
  const night = new VirtualNight(scene, seed, new Date(starts[scene]));
  const measured = (): Omit<Rung, 'trueRad'> => {
    const { axisCovariance, ...errors } = night.answer();
    const [sigmaAltitudeErrorRad, sigmaAzimuthErrorRad] = [Math.sqrt(axisCovariance[0]), Math.sqrt(axisCovariance[3])];
    return against(night, { ...errors, sigmaAltitudeErrorRad, sigmaAzimuthErrorRad });
  };
  const trueRad = (): number => night.world.truth().distanceRad;

  night.nudge(5 * arcminute);
  night.noteCompass();
  const compass = { ...measured(), trueRad: trueRad() };
  night.takeSights(6);
  const sights = measured();
  night.takeOver();
  night.nudge(2 * arcminute);
  const afterSights = { ...sights, trueRad: trueRad() };
  night.watchDrift(5);
  const drift = measured();
  night.takeOver();
  night.nudge(1.5 * arcminute);
  const afterDrift = { ...drift, trueRad: trueRad() };
  night.lock();
  const end = { ...measured(), trueRad: trueRad() };
  const { shown } = night.rest(20);
  return [compass, afterSights, afterDrift, end, { ...against(night, shown), trueRad: trueRad() }];
}

const percent = (errors: number[], limit: number): string =>
  `${((100 * errors.filter((error) => Math.abs(error) < limit).length) / errors.length).toFixed(0)} %`;
const median = (values: number[]): number => [...values].sort((a, b) => a - b)[values.length >> 1];
