import { degree } from '../angle.ts';
import { angleBetweenRad, type Vector3 } from '../vector.ts';
import type { Gate } from '../gate.ts';
import { roughVectors } from './readings.ts';
import type { MergedReadings } from './mergedReadings.ts';

/** In less than this, and in less than one whole turn, no hand has shown a board's every side to anything. */
const leastS = 10;
const leastTurnRad = 2 * Math.PI;

/** Tells of a tumble that had hardly begun, before anything else is made of it. */
export function shortGates(times: Float64Array | undefined, { readings }: MergedReadings): Gate[] {
  if (!times) return [];
  const seconds = times[times.length - 1] - times[0];
  if (seconds >= leastS) return [];
  const turned = Math.max(pathRad(roughVectors(readings, 0)), pathRad(roughVectors(readings, 3)));
  if (turned >= leastTurnRad) return [];
  return [
    {
      verdict: 'stop',
      reason: `the tumble is too short: the board was turned by ${(turned / degree).toFixed(0)} degrees in all`,
      value: seconds,
      limit: leastS,
      unit: 's',
      nextAction: 'Turn the board slowly through every attitude; that takes half a minute or more.',
    },
  ];
}

/** Sum of the angles from each direction to the next. */
function pathRad(flat: Float64Array): number {
  const at = (i: number): Vector3 => [flat[i], flat[i + 1], flat[i + 2]];
  let sum = 0;
  for (let i = 3; i < flat.length; i += 3) sum += angleBetweenRad(at(i - 3), at(i));
  return sum;
}
