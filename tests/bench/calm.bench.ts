import { degree } from '../../calibration/angle.ts';
import { ShownFigures } from '../../host/live/shownFigures.ts';
import { calmAtRest, settledS, type Calm } from '../statistics/calmAtRest.ts';
import { follow, north, samplesOf, testEstimator } from '../unit/liveSamples.ts';

const seeds = 20;
const seconds = 60;
const scenes = ['orchard', 'woolshed'] as const;
const all = (held: boolean): { scene: string; calm: Calm }[] =>
  scenes.flatMap((scene) =>
    Array.from({ length: seeds }, (_, i) => ({ scene, calm: calmAtRest(scene, i + 1, seconds, held) })),
  );

function atRest(): void {
  console.log(
    `What stands on a screen at rest, from ${settledS} s on for ${seconds} s, seeds 1 to ${seeds}: most changes of one text in a minute, and the shortest time ` +
      'between two changes of the same text in any of them (aim: figure 5 s, sentence 10 s, no blink). The reference shows the needles themselves.',
  );
  const rows = [];
  for (const held of [false, true]) {
    const results = all(held);
    for (const scene of scenes) {
      const calms = results.filter((one) => one.scene === scene).map(({ calm }) => calm);
      const most = (of: (calm: Calm) => number): number => Math.max(...calms.map(of));
      const shortest = (of: (calm: Calm) => number): string => Math.min(...calms.map(of)).toFixed(1);
      const share = (axis: 0 | 1, within: number): string =>
        `${calms.filter(({ lastSigmas }) => lastSigmas[axis] < within).length}`;
      rows.push({
        shown: held ? 'held' : 'needles',
        scene,
        figure: `${most((calm) => calm.changes.figure)}, ${shortest((calm) => calm.shortestS.figure)} s`,
        sentence: `${most((calm) => calm.changes.sentence)}, ${shortest((calm) => calm.shortestS.sentence)} s`,
        distance: `${most((calm) => calm.changes.distance)}, ${shortest((calm) => calm.shortestS.distance)} s`,
        scale: most((calm) => calm.changes.scale),
        blinks: calms.reduce((sum, { blinks }) => sum + blinks, 0),
        'altitude in 1, 2 sigmas': `${share(0, 1)}, ${share(0, 2)} of ${seeds}`,
        'azimuth in 1, 2 sigmas': `${share(1, 1)}, ${share(1, 2)} of ${seeds}`,
      });
    }
  }
  console.table(rows);
}

/** Seconds from the beginning of a turn until something on the screen follows it; the slowest of all seeds. */
function onset(): void {
  console.log(
    'A bolt begins to turn after 20 s at rest (2 mg, 300 nT a sample, seeds 1 to 20): seconds until the shown figures follow, median and slowest.',
  );
  const rows = [];
  for (const axis of ['altitude', 'azimuth'] as const)
    for (const rateDegS of [0.5, 1, 2, 3, 6]) {
      const times = Array.from({ length: seeds }, (_, i) => {
        const shown = new ShownFigures();
        let before: unknown;
        let followedS = NaN;
        const poseAt = (timeS: number) => {
          const turnedDeg = Math.max(0, timeS - 20) * rateDegS;
          return {
            altitudeErrorDeg: 1 + (axis === 'altitude' ? turnedDeg : 0),
            azimuthErrorDeg: -0.5 + (axis === 'azimuth' ? turnedDeg : 0),
          };
        };
        follow(testEstimator(north), samplesOf(north, poseAt, 26, i + 1), (timeS, estimate) => {
          const figures = shown.offer(estimate, timeS);
          if (timeS > 20 && Number.isNaN(followedS) && figures !== before) followedS = timeS - 20;
          before = figures;
        });
        return followedS;
      }).sort((a, b) => a - b);
      rows.push({
        bolt: axis,
        'degrees a second': rateDegS,
        'median s': times[seeds >> 1].toFixed(2),
        'slowest s': times[seeds - 1].toFixed(2),
        'turned by then, degrees': (times[seeds >> 1] * rateDegS).toFixed(2),
      });
    }
  console.table(rows);
  console.log(
    `Noise of one sample: altitude ${(0.002 / degree).toFixed(2)} degrees, azimuth ${(300 / 20_500 / degree).toFixed(2)}.`,
  );
}

export async function run(): Promise<void> {
  atRest();
  onset();
}
