import { adjust } from '../adjust.ts';
import { degree } from '../angle.ts';
import type { SpacerReading, StandoffOptions, StandoffResult } from './types.ts';
import { add, cross, dot, norm, normalise, rotationAbout, apply, scale, subtract, type Vector3 } from '../vector.ts';
import { growthWithSpacer } from './fallOff.ts';
import { shareLeft, standoffModel, standoffUnknowns, type StandoffReading } from './model.ts';
import { spacerDoubts, standoffGates } from './gates.ts';

const { far, iron, logDistance, count } = standoffUnknowns;

/** Deviation that needs no spacer: a quarter of what the magnetic model itself leaves open. */
const smallDeviationRad = 0.1 * degree;

/**
 * Iron below the board from readings at two or more spacer lengths. Three lengths tell its distance; from two it rests on the
 * guess, and the sigmas say so. Throws RangeError with fewer than two lengths.
 */
export function fitStandoff(readings: readonly SpacerReading[], options: StandoffOptions = {}): StandoffResult {
  const lengths = new Set(readings.map(({ spacerM }) => spacerM)).size;
  if (lengths < 2) throw new RangeError('stand-off: two or more spacer lengths are needed');
  const { parallelRad = 0.15 * degree, distanceM: guessedM = 0.15, sigmaLogDistance = 0.7 } = options;
  const up = normalise(readings[0].accelG);
  const turned = readings.map(({ spacerM, accelG, fieldNt, sigmaFieldNt }): StandoffReading => {
    const field = turnedUpright(fieldNt, normalise(accelG), up);
    const level = norm(cross(field, up));
    return { spacerM, fieldNt: field, sigmaFieldNt: Math.hypot(sigmaFieldNt, level * parallelRad) };
  });

  const longest = turned.reduce((best, next) => (next.spacerM > best.spacerM ? next : best));
  const shortest = turned.reduce((best, next) => (next.spacerM < best.spacerM ? next : best));
  const start = new Float64Array(count);
  start.set(longest.fieldNt, far);
  start.set(subtract(shortest.fieldNt, longest.fieldNt), iron);
  start[logDistance] = Math.log(guessedM);
  const mean = Float64Array.from({ length: count }, (_, i) => (i === logDistance ? Math.log(guessedM) : 0));
  const sigma = Float64Array.from({ length: count }, (_, i) => (i === logDistance ? sigmaLogDistance : Infinity));
  const { estimate, covariance, chiSquared, degreesOfFreedom } = adjust(standoffModel(turned), start, {
    prior: { mean, sigma },
  });

  const misfit = degreesOfFreedom > 0 ? chiSquared / degreesOfFreedom : 0;
  const growth = Math.max(misfit, 1);
  const sigmaOfRow = (row: readonly number[]): number => {
    let sum = 0;
    for (let i = 0; i < count; i += 1)
      for (let j = 0; j < count; j += 1) sum += row[i] * covariance[i * count + j] * row[j];
    return Math.sqrt(sum * growth);
  };
  const farNt: Vector3 = [estimate[far], estimate[far + 1], estimate[far + 2]];
  const ironNt: Vector3 = [estimate[iron], estimate[iron + 1], estimate[iron + 2]];
  const distanceM = Math.exp(estimate[logDistance]);
  const down = scale(up, -1);
  const turning = (field: Vector3): Vector3 => scale(cross(down, field), 1 / norm(cross(down, field)) ** 2);
  const withIron = add(farNt, ironNt);
  const deviationAt = (spacerM: number): number =>
    turnBetween(farNt, add(farNt, scale(ironNt, shareLeft(distanceM, spacerM))), down);
  const strengthNt = norm(farNt);
  const along = scale(farNt, 1 / strengthNt);
  const dipRad = Math.asin(dot(along, down));
  const byDip = scale(subtract(down, scale(along, Math.sin(dipRad))), 1 / (strengthNt * Math.cos(dipRad)));
  const ironSize = norm(ironNt);
  const result = {
    deviationRad: deviationAt(0),
    sigmaDeviationRad: sigmaOfRow([...subtract(turning(withIron), turning(farNt)), ...turning(withIron), 0]),
    deviationsRad: readings.map(({ spacerM }) => ({ spacerM, deviationRad: deviationAt(spacerM) })),
    ironNt: ironSize,
    sigmaIronNt: sigmaOfRow([0, 0, 0, ...scale(ironNt, 1 / Math.max(ironSize, 1e-9)), 0]),
    distanceM,
    sigmaLogDistance: Math.sqrt(covariance[logDistance * count + logDistance] * growth),
    strengthNt,
    sigmaStrengthNt: sigmaOfRow([...along, 0, 0, 0, 0]),
    dipRad,
    sigmaDipRad: sigmaOfRow([...byDip, 0, 0, 0, 0]),
    spacerNeededM: spacerFor(deviationAt(0), distanceM),
    misfit,
  };
  const doubts = spacerDoubts(result, growthWithSpacer(turned), options);
  const gates = [...doubts, ...standoffGates(result, lengths, up, options)];
  return {
    accepted: !gates.some(({ verdict }) => verdict === 'stop'),
    gates,
    isTelling: doubts.length === 0,
    ...result,
  };
}

/** What is left of the deviation for a board that stays on a spacer; d ln share / d ln distance = 3 spacer / (distance + spacer). */
export function deviationOn(
  { deviationRad, sigmaDeviationRad, distanceM, sigmaLogDistance }: StandoffResult,
  spacerM: number,
): { deviationRad: number; sigmaDeviationRad: number } {
  const left = shareLeft(distanceM, spacerM);
  const byDistanceRad = deviationRad * left * ((3 * spacerM) / (distanceM + spacerM)) * sigmaLogDistance;
  return { deviationRad: deviationRad * left, sigmaDeviationRad: Math.hypot(sigmaDeviationRad * left, byDistanceRad) };
}

/** Spacer at which a deviation that falls with the third power of the distance is small. */
const spacerFor = (deviationRad: number, distanceM: number): number =>
  Math.max(distanceM * (Math.cbrt(Math.abs(deviationRad) / smallDeviationRad) - 1), 0);

/** Turn of the level part from one field to another, clockwise seen from above. */
function turnBetween(from: Vector3, to: Vector3, down: Vector3): number {
  const [one, other] = [cross(down, from), cross(down, to)];
  return Math.atan2(dot(down, cross(one, other)), dot(one, other));
}

/** The smallest rotation that brings this reading's up onto `up`, done to its field. */
function turnedUpright(field: Vector3, from: Vector3, up: Vector3): Vector3 {
  const across = cross(from, up);
  const sine = norm(across);
  return sine < 1e-9 ? field : apply(rotationAbout(scale(across, 1 / sine), Math.atan2(sine, dot(from, up))), field);
}
