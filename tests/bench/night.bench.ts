import { arcminute } from '../../calibration/angle.ts';
import type { SceneName } from '../../firmware-proto/virtual/scenes.ts';
import { lockOnStar, nudgeOnStar } from '../../host/practice/bringHome.ts';
import { walkEvening } from '../../host/practice/evening.ts';
import { VirtualNight } from '../../host/practice/rehearseNight.ts';

/** LODEPOLE_NIGHTS=20 for a first look; LODEPOLE_FIRST_SEED=101 begins there. */
const nights = Number(process.env.LODEPOLE_NIGHTS ?? 200);
const firstSeed = Number(process.env.LODEPOLE_FIRST_SEED ?? 1);
const starts: Record<SceneName, string> = { orchard: '2027-01-15T04:00:00Z', woolshed: '2027-01-15T11:00:00Z' };

/** Needles and six stars, the instrument on: where the two ways that are set beside the program's own part from it. */
function upToSights(night: VirtualNight): void {
  night.nudge(5 * arcminute);
  night.noteCompass();
  night.load();
  night.takeSights(6);
  night.takeOver();
}

const ways = {
  'by `next` alone': (night: VirtualNight): void => walkEvening(night),
  'by the star, nothing corrected after locking': (night: VirtualNight): void => {
    upToSights(night);
    nudgeOnStar(night);
    night.watchDrift(5);
    night.takeOver();
    lockOnStar(night, nudgeOnStar(night).at(-1)!);
  },
  'by the needles alone, then locked': (night: VirtualNight): void => {
    upToSights(night);
    night.nudge(2 * arcminute);
    night.watchDrift(5);
    night.takeOver();
    night.nudge(1.5 * arcminute);
    night.lock();
  },
};
type Way = keyof typeof ways;

interface End {
  trueRad: number;
  sigmaRad: number;
  inSigmas: [number, number];
  minutes: number;
}

/** Whole evenings in the virtual scenes, locked and loaded: where the axis really stands at the end, and what is stated of it. */
export async function run(): Promise<void> {
  for (const scene of ['orchard', 'woolshed'] as const) {
    const ends = Array.from({ length: nights }, (_, i) => evening(scene, firstSeed + i));
    console.table(
      (Object.keys(ways) as Way[]).map((way) => {
        const all = ends.map((end) => end[way]);
        const errors = all.flatMap(({ inSigmas }) => inSigmas);
        const distances = all.map(({ trueRad }) => trueRad / arcminute);
        return {
          scene,
          evening: way,
          seeds: `${firstSeed}-${firstSeed + nights - 1}`,
          'true distance (arcmin), median (2)': quantile(distances, 0.5).toFixed(2),
          '95 percent (4)': quantile(distances, 0.95).toFixed(2),
          'stated sigma, median': quantile(
            all.map(({ sigmaRad }) => sigmaRad / arcminute),
            0.5,
          ).toFixed(2),
          'within 1 sigma (64-72 %)': percent(errors, 1),
          'within 2 sigma (93-97 %)': percent(errors, 2),
          "minutes on the hands' clock, median": quantile(
            all.map(({ minutes }) => minutes),
            0.5,
          ).toFixed(0),
        };
      }),
    );
  }
}

/** The same mount, board and first errors three times. */
function evening(scene: SceneName, seed: number): Record<Way, End> {
  const start = new Date(starts[scene]);
  const { rehearsal } = new VirtualNight(scene, seed, start);
  const end = (way: Way): End => {
    const night = new VirtualNight(scene, seed, start, rehearsal);
    ways[way](night);
    const truth = night.world.truth();
    const { altitudeErrorRad, azimuthErrorRad, axisCovariance } = night.answer();
    const [sigmaAltitude, sigmaAzimuth] = [Math.sqrt(axisCovariance[0]), Math.sqrt(axisCovariance[3])];
    return {
      trueRad: truth.distanceRad,
      sigmaRad: Math.hypot(sigmaAltitude, sigmaAzimuth * Math.cos(night.site.latitudeRad)),
      inSigmas: [
        (altitudeErrorRad - truth.altitudeErrorRad) / sigmaAltitude,
        (azimuthErrorRad - truth.azimuthErrorRad) / sigmaAzimuth,
      ],
      minutes: night.world.timeS / 60,
    };
  };
  return Object.fromEntries((Object.keys(ways) as Way[]).map((way) => [way, end(way)])) as Record<Way, End>;
}

const percent = (errors: number[], limit: number): string =>
  `${((100 * errors.filter((error) => Math.abs(error) < limit).length) / errors.length).toFixed(0)} %`;
const quantile = (values: number[], share: number): number =>
  [...values].sort((a, b) => a - b)[Math.min(values.length - 1, Math.floor(share * values.length))];
