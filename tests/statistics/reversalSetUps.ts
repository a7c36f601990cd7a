// Invented set-ups where nothing turns: a tumble by hand, a rest in the clip and one end for end; truth is kept apart.
import { arcminute, degree } from '../../calibration/angle.ts';
import { polarErrors } from '../../calibration/polarAxis.ts';
import type { SwingResult } from '../../calibration/swing/types.ts';
import { fitTumble } from '../../calibration/tumble/fit.ts';
import { collect, randomSetUp, tumbleSamples } from '../../firmware-proto/virtual/worldSamples.ts';
import { ReversalStep } from '../../host/steps/reversalStep.ts';
import { reading, siteOf } from './swingSetUps.ts';

const date = new Date('2026-06-01T00:00:00Z');
const seatAskewRad = 1 * degree;

interface ReversalOff {
  result: SwingResult;
  altitudeRad: number;
  azimuthRad: number;
}

/** One set-up; undefined when the tumble was refused. `ironNt`: the largest field of the mount's iron, which stays in its place. */
export function reversalSetUp(seed: number, ironNt: number): ReversalOff | undefined {
  const world = randomSetUp(seed, { date, seatAskewRad, turningIronNt: ironNt });
  const site = siteOf(world);
  const { calibration, accepted } = fitTumble(tumbleSamples(world).map(reading), { site });
  if (!calibration || !accepted) return undefined;
  const step = new ReversalStep(calibration, { site });
  const rest = (): void => {
    for (const sample of collect(world, world.hands.rest(3), 50)) step.offer(reading(sample));
  };
  world.advanceTo(world.hands.clip());
  rest();
  world.advanceTo(world.hands.reverseClip());
  step.turnEndForEnd();
  rest();
  const result = step.finish();
  const truth = polarErrors(world.mount.polarAxis, site.pole);
  return {
    result,
    altitudeRad: (result.errors?.altitudeErrorRad ?? NaN) - truth.altitudeErrorRad,
    azimuthRad: (result.errors?.azimuthErrorRad ?? NaN) - truth.azimuthErrorRad,
  };
}

/** Rms errors, their shares within the stated regions of two unknowns, and what the gates said. */
export function summariseReversals(outcomes: readonly (ReversalOff | undefined)[]) {
  const all = outcomes.flatMap((outcome) => outcome ?? []);
  const good = all.filter(({ result }) => result.accepted);
  const rms = (of: (off: ReversalOff) => number): number =>
    Math.sqrt(good.reduce((sum, off) => sum + of(off) ** 2, 0) / good.length);
  const within = (p: number): number => {
    const inside = good.filter(({ result, altitudeRad: x, azimuthRad: y }) => {
      const [a, b, , c] = result.errorCovariance!;
      return (c * x * x - 2 * b * x * y + a * y * y) / (a * c - b * b) < -2 * Math.log(1 - p);
    });
    return inside.length / good.length;
  };
  const cautioned = good.filter(({ result }) =>
    result.gates.some(({ verdict, reason }) => verdict === 'caution' && reason.startsWith('strength or dip')),
  );
  return {
    tried: outcomes.length,
    refused: outcomes.length - good.length,
    cautioned: cautioned.length,
    altitudeArcmin: rms((off) => off.altitudeRad) / arcminute,
    azimuthDeg: rms((off) => off.azimuthRad) / degree,
    altitudePull: rms(({ result, altitudeRad }) => altitudeRad / Math.sqrt(result.errorCovariance![0])),
    azimuthPull: rms(({ result, azimuthRad }) => azimuthRad / Math.sqrt(result.errorCovariance![3])),
    within68: within(0.68),
    within95: within(0.95),
  };
}
