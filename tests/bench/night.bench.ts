import { fork } from 'node:child_process';
import type { SceneName } from '../../firmware-proto/virtual/scenes.ts';
import { wayNames, type Evening } from './nightEvenings.ts';

/** LODEPOLE_NIGHTS=20 for a first look; LODEPOLE_FIRST_SEED=101 begins there. */
const nights = Number(process.env.LODEPOLE_NIGHTS ?? 200);
const firstSeed = Number(process.env.LODEPOLE_FIRST_SEED ?? 1);
const processes = 2;
const rowsOfProgress = 10;

/**
 * Whole evenings in the virtual scenes, locked and loaded: where the axis really stands at the end, and what is stated of it. The
 * time is that of virtual hands, which find and centre a star in four seconds; people take minutes.
 */
export async function run(): Promise<void> {
  const evenings = { orchard: await eveningsIn('orchard'), woolshed: await eveningsIn('woolshed') };
  const of = `seeds ${firstSeed}-${firstSeed + nights - 1}`;
  for (const scene of ['orchard', 'woolshed'] as const) {
    console.log(`\n${scene}, ${of}`);
    console.table(rowsOfEnds(evenings[scene]));
  }
  console.log(`\nNudges that \`next\` advised, each with the locking after it, ${of}; arcminutes from the pole`);
  console.table({ orchard: rowOfAdvice(evenings.orchard), woolshed: rowOfAdvice(evenings.woolshed) });
}

/** Divided among processes; each takes the next seed when it is done with one. */
async function eveningsIn(scene: SceneName): Promise<Evening[]> {
  const done: Evening[] = [];
  const started = performance.now();
  let next = 0;
  const work = (): Promise<void> =>
    new Promise((resolve, reject) => {
      const worker = fork(new URL('nightWorker.ts', import.meta.url));
      const ask = (): void => {
        if (next === nights) worker.disconnect();
        else {
          asked = next;
          next += 1;
          worker.send({ scene, seed: firstSeed + asked });
        }
      };
      let asked = -1;
      worker.on('message', (evening: Evening) => {
        done[asked] = evening;
        const count = Object.keys(done).length;
        if (count % Math.ceil(nights / rowsOfProgress) === 0)
          console.error(`${scene}: ${count} of ${nights}, ${((performance.now() - started) / 1000).toFixed(0)} s`);
        ask();
      });
      worker.on('exit', (code) => (code === 0 ? resolve() : reject(new Error(`seed ${firstSeed + asked}: ${code}`))));
      ask();
    });
  await Promise.all(Array.from({ length: processes }, work));
  return done;
}

const rowsOfEnds = (evenings: readonly Evening[]): Record<string, Record<string, string>> =>
  Object.fromEntries(
    wayNames.map((way) => {
      const ends = evenings.map((evening) => evening[way]);
      const of = (value: (end: (typeof ends)[number]) => number): number[] => ends.map(value);
      const errors = ends.flatMap(({ inSigmas }) => inSigmas);
      const distances = of(({ trueArcmin }) => trueArcmin);
      const row = {
        'true distance, median (2)': quantile(distances, 0.5).toFixed(2),
        '95 percent (4)': quantile(distances, 0.95).toFixed(2),
        'stated sigma': quantile(
          of(({ sigmaArcmin }) => sigmaArcmin),
          0.5,
        ).toFixed(2),
        'within 1 sigma (64-72 %)': within(errors, 1),
        'within 2 (93-97 %)': within(errors, 2),
        lockings: mean(of(({ lockings }) => lockings)).toFixed(1),
        'minutes, median': quantile(
          of(({ minutes }) => minutes),
          0.5,
        ).toFixed(0),
        '95 percent': quantile(
          of(({ minutes }) => minutes),
          0.95,
        ).toFixed(0),
      };
      return [way, row];
    }),
  );

function rowOfAdvice(evenings: readonly Evening[]): Record<string, string | number> {
  const advised = evenings.flatMap((evening) => evening['by `next` alone'].advised);
  const isWorse = advised.filter(({ trueBefore, trueAfter }) => trueAfter > trueBefore);
  return {
    advised: advised.length,
    'expected no nearer (0)': advised.filter(({ expectedNow, expectedAfter }) => !(expectedAfter < expectedNow)).length,
    'expected now, mean': mean(advised.map(({ expectedNow }) => expectedNow)).toFixed(2),
    'true before': mean(advised.map(({ trueBefore }) => trueBefore)).toFixed(2),
    'expected after': mean(advised.map(({ expectedAfter }) => expectedAfter)).toFixed(2),
    'true after': mean(advised.map(({ trueAfter }) => trueAfter)).toFixed(2),
    'truly farther': `${isWorse.length} (${((100 * isWorse.length) / advised.length).toFixed(0)} %)`,
    'by, mean': mean(isWorse.map(({ trueBefore, trueAfter }) => trueAfter - trueBefore)).toFixed(2),
  };
}

const within = (errors: readonly number[], limit: number): string =>
  `${((100 * errors.filter((error) => Math.abs(error) < limit).length) / errors.length).toFixed(1)} %`;
const mean = (values: readonly number[]): number => values.reduce((sum, value) => sum + value, 0) / values.length;
const quantile = (values: readonly number[], share: number): number =>
  [...values].sort((a, b) => a - b)[Math.min(values.length - 1, Math.floor(share * values.length))];
