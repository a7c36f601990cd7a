import { arcminute } from '../../calibration/angle.ts';
import type { SceneName } from '../../firmware-proto/virtual/scenes.ts';
import type { NextStep } from '../../host/night/stepsOfNight.ts';
import { lockOnStar, nudgeOnStar } from '../../host/practice/bringHome.ts';
import { walkEvening } from '../../host/practice/evening.ts';
import { VirtualNight } from '../../host/practice/rehearseNight.ts';

const starts: Record<SceneName, string> = { orchard: '2027-01-15T04:00:00Z', woolshed: '2027-01-15T11:00:00Z' };

/** Needles and six stars, the instrument on: where the two ways that are set beside the program's own part from it. */
function upToSights(night: VirtualNight): void {
  night.nudge(5 * arcminute);
  night.noteCompass();
  night.load();
  night.takeSights(6);
  night.takeOver();
}

type Tell = (step: NextStep) => void;

const ways = {
  'by `next` alone': (night: VirtualNight, tell: Tell): void => walkEvening(night, undefined, tell),
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
export const wayNames = Object.keys(ways) as Way[];

/** A nudge that was advised, with the locking after it; arcminutes from the pole. */
interface Advised {
  expectedNow: number;
  expectedAfter: number;
  trueBefore: number;
  trueAfter: number;
}

interface End {
  trueArcmin: number;
  sigmaArcmin: number;
  /** What the answer errs by in altitude and in azimuth, in its sigmas. */
  inSigmas: [number, number];
  minutes: number;
  lockings: number;
  advised: Advised[];
}

export type Evening = Record<Way, End>;

function endOf(way: Way, night: VirtualNight): End {
  const { world, log } = night;
  const trueArcmin = (): number => world.truth().distanceRad / arcminute;
  const advised: Advised[] = [];
  let coming: Omit<Advised, 'trueAfter'> | undefined;
  ways[way](night, ({ step, expected }) => {
    if (coming && world.mount.isLocked) {
      advised.push({ ...coming, trueAfter: trueArcmin() });
      coming = undefined;
    }
    // a nudge that is made finer before the bolts are locked is one with the first
    if (step === 'nudge' && expected && !coming)
      coming = {
        expectedNow: expected.nowRad / arcminute,
        expectedAfter: expected.afterRad / arcminute,
        trueBefore: trueArcmin(),
      };
  });
  const truth = world.truth();
  const { altitudeErrorRad, azimuthErrorRad, axisCovariance } = night.answer();
  const [sigmaAltitude, sigmaAzimuth] = [Math.sqrt(axisCovariance[0]), Math.sqrt(axisCovariance[3])];
  return {
    trueArcmin: trueArcmin(),
    sigmaArcmin: Math.hypot(sigmaAltitude, sigmaAzimuth * Math.cos(night.site.latitudeRad)) / arcminute,
    inSigmas: [
      (altitudeErrorRad - truth.altitudeErrorRad) / sigmaAltitude,
      (azimuthErrorRad - truth.azimuthErrorRad) / sigmaAzimuth,
    ],
    minutes: world.timeS / 60,
    lockings: log.filter((entry) => entry.kind === 'nudge' && entry.by === 'locking').length,
    advised,
  };
}

/** The same mount, board and first errors once for each way. */
export function evening(scene: SceneName, seed: number): Evening {
  const start = new Date(starts[scene]);
  const { rehearsal } = new VirtualNight(scene, seed, start);
  const ends = wayNames.map((way) => [way, endOf(way, new VirtualNight(scene, seed, start, rehearsal))]);
  return Object.fromEntries(ends) as Evening;
}
