// Invented set-ups for the swing: a tumble by hand, the clip askew, iron that turns along, swings; truth is kept apart.
import { arcminute, degree } from '../../calibration/angle.ts';
import { polarErrors, truePole } from '../../calibration/polarAxis.ts';
import { DwellFinder } from '../../calibration/swing/dwell.ts';
import { fitSwing } from '../../calibration/swing/fitSwing.ts';
import type { Dwell, Face, SwingResult, SwingSite } from '../../calibration/swing/types.ts';
import { fitTumble } from '../../calibration/tumble/fit.ts';
import type { TumbleCalibration } from '../../calibration/tumble/types.ts';
import { angleBetweenRad } from '../../calibration/vector.ts';
import { calibrationAt } from '../../calibration/warmth.ts';
import type { ChipName, SensorMake } from '../../firmware-proto/virtual/chip.ts';
import type { VirtualWorld } from '../../firmware-proto/virtual/world.ts';
import {
  collect,
  knownPlace,
  randomSetUp,
  swingSamples,
  tumbleSamples,
  type PhysicalSample,
} from '../../firmware-proto/virtual/worldSamples.ts';
import { SwingStep } from '../../host/steps/swingStep.ts';

const hz = 50;
/** The magnetic model is asked for one date, so that the figures can be had again. */
const date = new Date('2026-06-01T00:00:00Z');

/** What a user knows of a virtual place: the magnetic model there and its sigmas, never what the field really is. */
export function siteOf(world: VirtualWorld): SwingSite {
  const { modelled, sigma, latitudeRad } = knownPlace(world);
  return {
    pole: truePole(latitudeRad),
    variationRad: modelled.variationRad,
    sigmaVariationRad: sigma.variationRad,
    fieldNt: modelled.fieldNt,
    sigmaFieldNt: sigma.fieldNt,
    dipRad: modelled.dipRad,
    sigmaDipRad: sigma.dipRad,
  };
}

export const reading = ({ timeS, ...sample }: PhysicalSample): Omit<PhysicalSample, 'timeS'> & { boardS: number } => ({
  ...sample,
  boardS: timeS,
});

export function dwellsOf(samples: readonly PhysicalSample[]): readonly Dwell[] {
  const finder = new DwellFinder();
  for (const sample of samples) finder.offer(reading(sample));
  finder.close();
  return finder.dwells;
}

/** A swing's estimate less the truth. */
export interface SwingOff {
  swing: SwingResult;
  site: SwingSite;
  /** Of the field at this place: what no sensor at the mount can know. */
  variationRad: number;
  /**
   * Cramer-Rao bound of `axisRad`: the same swing with the noise that the chips really have, none of the
   * allowance for warmth, and the tumble as sure as it says.
   * Worked out for every fifth set-up.
   */
  axisBoundRad?: number;
  altitudeRad: number;
  azimuthRad: number;
  /** Azimuth with the variation of the place taken as known: what the sensors add. */
  magneticAzimuthRad: number;
  axisRad: number;
}

export type SwingKind = 'full' | 'part' | 'reversed';

function offOf(
  world: VirtualWorld,
  faces: readonly Face[],
  calibration: TumbleCalibration,
  changeC: number,
  site: SwingSite,
): SwingOff {
  const swing = fitSwing(faces, calibrationAt(calibration, changeC), { site });
  const truth = polarErrors(world.mount.polarAxis, site.pole);
  const { errors } = swing;
  if (!errors) throw new Error('a swing at a site gives errors');
  const azimuthRad = errors.azimuthErrorRad - truth.azimuthErrorRad;
  const eastward = Math.cos(site.pole.azimuthRad) >= 0 ? 1 : -1;
  const variationRad = world.modelled.variationRad - world.field.variationRad;
  return {
    swing,
    site,
    variationRad,
    ...(world.seed % boundEvery === 0 && { axisBoundRad: axisBound(world, faces, calibration, site) }),
    altitudeRad: errors.altitudeErrorRad - truth.altitudeErrorRad,
    azimuthRad,
    magneticAzimuthRad: eastward * azimuthRad - variationRad,
    axisRad: angleBetweenRad(swing.axisInBoard, world.axisInBoard()),
  };
}

const boundEvery = 5;

function axisBound(
  world: VirtualWorld,
  faces: readonly Face[],
  calibration: TumbleCalibration,
  site: SwingSite,
): number {
  const withTrueNoise = faces.map((face) => face.map((dwell) => ({ ...dwell, ...trueSigma(world, dwell) })));
  return Math.SQRT2 * fitSwing(withTrueNoise, calibration, { site }).sigmaAxisInBoardRad;
}

/** What the mean of a rest is off by in truth: noise of the chip and rounding, averaged, and the wander of its zero. */
function trueSigma({ make }: VirtualWorld, { samples }: Dwell): { sigmaAccelG: number; sigmaFieldNt: number } {
  const of = ({ noise, perCount, wander }: SensorMake): number =>
    Math.hypot(noise / Math.sqrt(samples), perCount / Math.sqrt(12 * samples), wander);
  return { sigmaAccelG: of(make.accelerometer), sigmaFieldNt: of(make.magnetometer) };
}

/** Hands let a bolt or clutch go within this. */
const shortestRestS = 1.6;
const firstRestS = 2;

/** Tumble, clip on and swing in one set-up, three ways, each rest as long as the swing asks; undefined when the tumble was refused. */
export function setUp(seed: number, chip: ChipName = 'typical'): Record<SwingKind, SwingOff> | undefined {
  const world = randomSetUp(seed, { chip, date });
  const site = siteOf(world);
  const tumbled = tumbleSamples(world, { samples: 1500 }).map(reading);
  const { calibration, accepted } = fitTumble(tumbled, { site });
  if (!calibration || !accepted) return undefined;
  const meanC = (of: readonly { temperatureC?: number }[]): number =>
    of.reduce((sum, { temperatureC = 0 }) => sum + temperatureC, 0) / of.length;
  const off = (...faces: Face[]): SwingOff =>
    offOf(world, faces, calibration, meanC(faces.flat()) - meanC(tumbled), site);
  const rate = Math.min(hz, world.make.hz);
  const step = new SwingStep(calibration, { site });
  world.advanceTo(world.hands.clip());
  for (const sample of collect(world, world.hands.rest(firstRestS), rate)) step.offer(reading(sample));
  const restS = Math.max(shortestRestS, step.progress().restWantedS);
  const face = (arcDeg: number, reversed: boolean): Face =>
    dwellsOf(swingSamples(world, { arcRad: arcDeg * degree, dwells: 10, restS, reversed, hz: rate }));
  const [part, full] = [face(120, false), face(330, false)];
  const swung = { part: off(part), full: off(full) };
  return { ...swung, reversed: off(full, face(330, true)) };
}

export interface SwingFigures {
  tried: number;
  refusedTumbles: number;
  refusedSwings: number;
  azimuthDeg: number;
  modelDeg: number;
  /** What the variations drawn for these set-ups really are off by. */
  variationDeg: number;
  magneticDeg: number;
  altitudeArcmin: number;
  axisArcmin: number;
  axisBoundArcmin: number;
  /** Share of the truths within the stated regions of altitude and azimuth errors, the variation's sigma in them. */
  within68: number;
  within95: number;
  /** The same without the variation: altitude and magnetic azimuth. */
  sensors68: number;
  sensors95: number;
}

/** Chi-squared quantiles for two degrees of freedom: -2 ln(1 - p). */
const region = (share: number): number => -2 * Math.log(1 - share);

/** Rms errors and coverage over many set-ups. */
export function summarise(
  outcomes: readonly (Record<SwingKind, SwingOff> | undefined)[],
  kind: SwingKind,
): SwingFigures {
  const all = outcomes.flatMap((outcome) => (outcome ? [outcome[kind]] : []));
  const good = all.filter(({ swing }) => swing.accepted);
  const rms = (of: (off: SwingOff) => number, among = good): number =>
    Math.sqrt(among.reduce((sum, off) => sum + of(off) ** 2, 0) / among.length);
  const bounded = good.filter(({ axisBoundRad }) => axisBoundRad !== undefined);
  const share = (of: (off: SwingOff) => boolean): number => good.filter(of).length / good.length;
  const total = (off: SwingOff): number => mahalanobis(off.altitudeRad, off.azimuthRad, off.swing.errorCovariance!);
  const sensors = (off: SwingOff): number => mahalanobis(off.altitudeRad, off.magneticAzimuthRad, off.swing.covariance);
  return {
    tried: outcomes.length,
    refusedTumbles: outcomes.length - all.length,
    refusedSwings: all.length - good.length,
    azimuthDeg: rms((off) => off.azimuthRad) / degree,
    modelDeg: rms((off) => off.site.sigmaVariationRad) / degree,
    variationDeg: rms((off) => off.variationRad) / degree,
    magneticDeg: rms((off) => off.magneticAzimuthRad) / degree,
    altitudeArcmin: rms((off) => off.altitudeRad) / arcminute,
    axisArcmin: rms((off) => off.axisRad) / arcminute,
    axisBoundArcmin: rms((off) => off.axisBoundRad!, bounded) / arcminute,
    within68: share((off) => total(off) < region(0.68)),
    within95: share((off) => total(off) < region(0.95)),
    sensors68: share((off) => sensors(off) < region(0.68)),
    sensors95: share((off) => sensors(off) < region(0.95)),
  };
}

const mahalanobis = (x: number, y: number, [a, b, , c]: readonly number[]): number =>
  (c * x * x - 2 * b * x * y + a * y * y) / (a * c - b * b);
