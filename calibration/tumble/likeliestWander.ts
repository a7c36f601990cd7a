import type { Prior } from '../adjust.ts';
import { minimise } from '../minimise.ts';
import { restrictedLikelihood } from './likelihood.ts';
import { rateClass } from './motion.ts';
import type { RowSigma } from './rowSigma.ts';
import type { Wander, WanderRows } from './wander.ts';

/** Readings looked at: more tell the wander no better, and cost time. */
const mostReadings = 3000;
const stretches = 6;

/**
 * The wander under which the residuals are most likely, by the restricted likelihood: unlike
 * residuals' own autocorrelation it counts what the unknowns have taken up. `rowSigma`: what the rows were whitened with beyond the chips'
 * noise. Sought: of gravity's length and of the angle the scatter and its white part, and the time of the wander.
 */
export function likeliestWander(all: WanderRows, rowSigma: RowSigma, prior: Prior, start: ArrayLike<number>): Wander {
  const rows = all.readings > mostReadings ? someStretches(all) : all;
  const present = rowSigma.map((_, of) => of).filter((of) => rows.classes.includes(of));
  const leastWhite = [0, 1, 2].map((k) => Math.min(...present.map((of) => rowSigma[of][k] ** 2)));
  const meanCount = meanCounts(rows);
  const wanderAt = ([gravityWhite, angleWhite, logTime, gravity, angle]: readonly number[]): Wander => {
    const white = [leastWhite[0] * logistic(gravityWhite), 1, leastWhite[2] * logistic(angleWhite)];
    const total = [Math.exp(gravity), 1, Math.exp(angle)];
    return {
      timeS: Math.exp(logTime),
      white: rowSigma.map((sigma) => sigma.map((value, k) => (k === 1 ? 1 : (total[k] * white[k]) / value ** 2))),
      felt: rowSigma.map((sigma, of) =>
        sigma.map((value, k) =>
          k === 1 ? 0 : Math.sqrt((total[k] * Math.max(0, value ** 2 - white[k])) / meanCount[of]) / value,
        ),
      ),
    };
  };
  const gaps = rows.gapS.slice(1).sort();
  const typicalGapS = gaps[Math.floor(gaps.length / 2)];
  const evaluate = restrictedLikelihood(rows, prior, start);
  // A weak pull towards the middle, for data that tell nothing of the white part.
  const best = minimise(
    (x) => evaluate(wanderAt(x)) + 0.02 * (x[0] ** 2 + x[1] ** 2),
    [-1, -1, Math.log(8 * typicalGapS), 0.1, 0.1],
    { size: 1, tolerance: 0.05, mostCalls: 120 },
  );
  return wanderAt(best);
}

const logistic = (x: number): number => 1 / (1 + Math.exp(-x));

function meanCounts({ classes, counts }: WanderRows): number[] {
  const sums = new Float64Array(rateClass.count);
  const numbers = new Float64Array(rateClass.count);
  classes.forEach((of, i) => {
    sums[of] += counts[i];
    numbers[of] += 1;
  });
  return Array.from(sums, (sum, of) => (numbers[of] > 0 ? sum / numbers[of] : 1));
}

/** Stretches evenly spread over the tumble, each unrelated to the one before. */
function someStretches(rows: WanderRows): WanderRows {
  const { unknowns, readings, values, directions, classes, counts, gapS } = rows;
  const length = Math.floor(mostReadings / stretches);
  const perReading = 3 * (unknowns + 1);
  const picked: WanderRows = {
    unknowns,
    readings: stretches * length,
    values: new Float64Array(stretches * length * perReading),
    directions: new Float64Array(6 * stretches * length),
    classes: new Uint8Array(stretches * length),
    counts: new Float64Array(stretches * length),
    gapS: new Float64Array(stretches * length),
  };
  for (let s = 0; s < stretches; s += 1) {
    const from = Math.floor((s * (readings - length)) / (stretches - 1));
    const [to, into] = [from + length, s * length];
    picked.values.set(values.subarray(from * perReading, to * perReading), into * perReading);
    picked.directions.set(directions.subarray(6 * from, 6 * to), 6 * into);
    picked.classes.set(classes.subarray(from, to), into);
    picked.counts.set(counts.subarray(from, to), into);
    picked.gapS.set(gapS.subarray(from, to), into);
    picked.gapS[into] = Infinity;
  }
  return picked;
}
