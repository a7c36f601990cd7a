import { EigenvalueDecomposition, Matrix } from 'ml-matrix';
import type { Gate } from '../gate.ts';

/** Checks of one sensor's readings before any fit: what makes every fit of them worthless. */
interface SensorReadings {
  name: 'accelerometer' | 'magnetometer';
  /** Three numbers per reading, all finite. */
  flat: Float64Array;
  /** Unit of the numbers, for the words. */
  unit: 'g' | 'nT' | 'counts';
  /** What the length of a reading is about, when the unit is right; undefined for counts. */
  usualLength: number | undefined;
  fullScale: number | undefined;
}

const stop = (reason: string, value: number, limit: number, unit: string, nextAction: string): Gate => ({
  verdict: 'stop',
  reason,
  value,
  limit,
  unit,
  nextAction,
});

export function sensorGates(sensor: SensorReadings): Gate[] {
  const early = [stuckAxis(sensor), noMotion(sensor)].filter((gate) => gate !== undefined);
  if (early.length > 0) return early;
  return [mixedUnits(sensor), wrongUnit(sensor), saturated(sensor), flatTumble(sensor)].filter(
    (gate) => gate !== undefined,
  );
}

const axisNames = ['X', 'Y', 'Z'] as const;

const rangeOf = (flat: Float64Array, k: number): number => {
  let low = Infinity;
  let high = -Infinity;
  for (let i = k; i < flat.length; i += 3) {
    low = Math.min(low, flat[i]);
    high = Math.max(high, flat[i]);
  }
  return high - low;
};

const ranges = (flat: Float64Array): number[] => [0, 1, 2].map((k) => rangeOf(flat, k));

function stuckAxis({ name, flat, unit }: SensorReadings): Gate | undefined {
  const range = ranges(flat);
  const largest = Math.max(...range);
  const stuck = range.findIndex((value) => value <= 1e-9 * largest);
  if (largest === 0 || stuck < 0) return undefined;
  return stop(
    `the ${name}'s axis ${axisNames[stuck]} never changes: it is stuck`,
    range[stuck],
    largest * 0.02,
    unit,
    'Check the wiring and the chip (lodepole board); no calibration can replace a missing axis.',
  );
}

/** Gravity and field turn by twice their length when the board is turned over: a tenth of a turn is not a tumble. */
function noMotion({ name, flat, unit }: SensorReadings): Gate | undefined {
  const lengths = sortedLengths(flat);
  const typical = lengths[Math.floor(lengths.length / 2)];
  const largest = Math.max(...ranges(flat));
  const limit = name === 'accelerometer' ? 0.3 * typical : 0.15 * typical;
  if (largest >= limit) return undefined;
  return stop(
    name === 'accelerometer'
      ? 'the board was not tilted: the accelerometer saw the same side up all the time'
      : 'the board was not turned: the magnetometer saw no motion',
    largest,
    limit,
    unit,
    name === 'accelerometer'
      ? 'Turn the board over, onto every side and both ends; turning it about the vertical alone is not enough.'
      : 'Turn the board slowly through every attitude, away from iron, while readings are taken.',
  );
}

/** Lengths that fall into two groups with nothing between them come from two units, not from one sensor. */
function mixedUnits({ name, flat }: SensorReadings): Gate | undefined {
  const lengths = sortedLengths(flat);
  const least = Math.max(3, Math.floor(lengths.length * 0.02));
  let widest = 1;
  for (let i = least; i + least <= lengths.length; i += 1)
    if (lengths[i - 1] > 0) widest = Math.max(widest, lengths[i] / lengths[i - 1]);
  const limit = 4;
  if (widest < limit) return undefined;
  return stop(
    `the ${name}'s readings jump by a constant factor: units are mixed`,
    widest,
    limit,
    'times',
    'Use one unit throughout: g for the accelerometer, microtesla for the magnetometer.',
  );
}

function wrongUnit({ name, flat, unit, usualLength }: SensorReadings): Gate | undefined {
  if (usualLength === undefined) return undefined;
  const lengths = sortedLengths(flat);
  // A bias may move the length by far; half the largest extent does not know the bias.
  const typical = name === 'accelerometer' ? lengths[Math.floor(lengths.length / 2)] : Math.max(...ranges(flat)) / 2;
  const factor = typical / usualLength;
  if (factor > 1 / 4 && factor < 4) return undefined;
  return stop(
    `the ${name}'s readings are not in ${unit === 'nT' ? 'microtesla' : unit}: their size is impossible on Earth`,
    typical,
    factor >= 4 ? usualLength * 4 : usualLength / 4,
    unit,
    name === 'accelerometer'
      ? 'Give g (9.80665 m/s2 = 1 g), or name the columns ax_raw, ay_raw, az_raw for counts.'
      : 'Give microtesla (1 gauss = 100 uT), or name the columns mx_raw, my_raw, mz_raw for counts.',
  );
}

/**
 * A chip at its end of scale repeats its largest value while its other axes go on; a board at rest repeats all three. A free
 * chip in motion seldom reaches the same end twice.
 */
function saturated({ name, flat, unit, fullScale }: SensorReadings): Gate | undefined {
  const n = flat.length / 3;
  const span = ranges(flat);
  let worst = 0;
  for (let k = 0; k < 3; k += 1) {
    for (const sign of [1, -1]) {
      const counts = new Map<number, number>();
      for (let i = k; i < flat.length; i += 3) {
        const value = sign * flat[i];
        counts.set(value, (counts.get(value) ?? 0) + 1);
      }
      const values = [...counts.keys()].sort((a, b) => b - a).slice(0, 4);
      const [top, ...next] = values.map((value) => counts.get(value) ?? 0);
      const piled = top >= Math.max(5, 0.01 * n) && top > 4 * Math.max(...next, 1);
      const beyond =
        fullScale === undefined
          ? 0
          : [...counts].reduce((sum, [value, count]) => sum + (value >= 0.999 * fullScale ? count : 0), 0);
      worst = Math.max(worst, piled && othersGoOn(flat, k, sign * values[0], span) ? top : 0, beyond);
    }
  }
  const percent = (100 * worst) / n;
  if (worst === 0 || (percent < 0.2 && worst < 5)) return undefined;
  return stop(
    `the ${name} is saturated: readings pile up at its end of scale`,
    percent,
    0.2,
    'percent',
    name === 'accelerometer'
      ? 'Turn the board more gently, or set a wider range.'
      : `Take the board away from magnets and iron, or set a wider range; then tumble again (${unit}).`,
  );
}

/** Whether the other axes move by a third of their span while axis `k` holds `value`. */
function othersGoOn(flat: Float64Array, k: number, value: number, span: readonly number[]): boolean {
  const held: number[] = [];
  for (let i = 0; i < flat.length; i += 3) if (flat[i + k] === value) held.push(flat[i], flat[i + 1], flat[i + 2]);
  return ranges(Float64Array.from(held)).some((range, axis) => axis !== k && range > span[axis] / 3);
}

/** All places that were read lie in one plane: a turn about a single axis. However long a board rests, it is in one place. */
function flatTumble({ name, flat: all }: SensorReadings): Gate | undefined {
  const flat = places(all);
  const n = flat.length / 3;
  const mean = [0, 1, 2].map((k) => {
    let sum = 0;
    for (let i = k; i < flat.length; i += 3) sum += flat[i];
    return sum / n;
  });
  const scatter = Matrix.zeros(3, 3);
  for (let i = 0; i < flat.length; i += 3)
    for (let j = 0; j < 3; j += 1)
      for (let k = 0; k < 3; k += 1)
        scatter.set(j, k, scatter.get(j, k) + (flat[i + j] - mean[j]) * (flat[i + k] - mean[k]));
  const values = [...new EigenvalueDecomposition(scatter, { assumeSymmetric: true }).realEigenvalues].sort(
    (a, b) => a - b,
  );
  const thickness = Math.sqrt(Math.max(values[0], 0) / values[2]);
  const limit = 0.15;
  if (thickness >= limit) return undefined;
  return stop(
    `the tumble is flat: the ${name}'s readings lie in one plane`,
    thickness,
    limit,
    'of its width',
    'Turn the board about its other axes too, until every side has once been up; that takes half a minute or more.',
  );
}

/** The first reading in each cube of a grid, twenty to the largest span. */
function places(flat: Float64Array): Float64Array {
  const edge = Math.max(...ranges(flat)) / 20;
  const seen = new Set<string>();
  const first: number[] = [];
  for (let i = 0; i < flat.length; i += 3) {
    const [x, y, z] = [flat[i], flat[i + 1], flat[i + 2]];
    const cube = [x, y, z].map((value) => Math.floor(value / edge)).join();
    if (seen.has(cube)) continue;
    seen.add(cube);
    first.push(x, y, z);
  }
  return Float64Array.from(first);
}

function sortedLengths(flat: Float64Array): Float64Array {
  const lengths = new Float64Array(flat.length / 3);
  for (let i = 0; i < lengths.length; i += 1) lengths[i] = Math.hypot(flat[3 * i], flat[3 * i + 1], flat[3 * i + 2]);
  return lengths.sort();
}
