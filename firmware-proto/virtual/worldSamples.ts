import { degree } from '../../calibration/angle.ts';
import type { Vector3 } from '../../calibration/vector.ts';
import type { RawCounts } from './rawCounts.ts';
import { fieldSigmas, modelledField, type EarthField } from './field.ts';
import type { SwingOptions } from './hands.ts';
import { attitudeWithUp } from './handsPath.ts';
import { Random } from './random.ts';
import { scenes } from './scenes.ts';
import type { Place, Scene } from './scene.ts';
import { VirtualWorld, type WorldOptions } from './world.ts';

/** What a host makes of one sample before any calibration: physical units in the board's frame. */
export interface PhysicalSample {
  timeS: number;
  accelG: Vector3;
  fieldNt: Vector3;
  rateDps?: Vector3;
  temperatureC: number;
}

/** What a user may know of the place: where it is, and what the magnetic model says. No truth. */
interface KnownPlace extends Place {
  modelled: EarthField;
  sigma: EarthField;
}

export const knownPlace = ({ scene, modelled }: VirtualWorld): KnownPlace => ({
  ...scene.place,
  modelled,
  sigma: fieldSigmas(modelled),
});

/** Samples of everything that goes on until `untilS`. */
export function collect(world: VirtualWorld, untilS: number, hz: number = world.make.hz): PhysicalSample[] {
  const firstS = world.timeS;
  const count = Math.floor((untilS - firstS) * hz + 1e-6);
  return Array.from({ length: count }, (_, i) => physical(world, world.countsAt(firstS + (i + 1) / hz)));
}

interface TumbleSampling {
  samples?: number;
  /** A tumble by hands over about 40 s, or attitudes drawn at random, each for itself. */
  attitudes?: 'hand' | 'random';
  /** Part of the sphere of "up" directions, 0..1. */
  coverage?: number;
}

/** A tumble in the hand, away from iron. */
export function tumbleSamples(world: VirtualWorld, options: TumbleSampling = {}): PhysicalSample[] {
  const { samples = 600, attitudes = 'hand', coverage = 1 } = options;
  const durationS = 40;
  const finishS = world.hands.tumble({ durationS, coverage });
  world.advanceTo(finishS - durationS);
  if (attitudes === 'hand') return collect(world, finishS, samples / durationS).slice(0, samples);
  const random = new Random(world.seed ^ 0x74756d62);
  const drawn = Array.from({ length: samples }, () => {
    const fromZRad = Math.acos(1 - 2 * coverage * random.uniform());
    const [aroundZRad, headingRad] = [random.between(0, 2 * Math.PI), random.between(0, 2 * Math.PI)];
    return physical(world, world.countsIn(attitudeWithUp(fromZRad, aroundZRad, headingRad)));
  });
  world.advanceTo(finishS);
  return drawn;
}

/** Clips the board on, end for end if asked, and swings the axis; samples of the whole of the swing, turning included. */
export function swingSamples(
  world: VirtualWorld,
  { reversed = false, hz = 20, ...swing }: SwingOptions & { reversed?: boolean; hz?: number } = {},
): PhysicalSample[] {
  world.advanceTo(reversed ? world.hands.reverseClip() : world.hands.clip());
  return collect(world, world.hands.swing(swing), hz);
}

/** Samples at rest with the board on the base, one way round and turned by half a turn. */
export function levelSamples(world: VirtualWorld, seconds = 3, hz = 20): [PhysicalSample[], PhysicalSample[]] {
  const lying = (degrees: 0 | 180): PhysicalSample[] => {
    world.advanceTo(world.hands.layOnBase(degrees));
    return collect(world, world.hands.rest(seconds), hz);
  };
  return [lying(0), lying(180)];
}

/** Samples at rest on each spacer, the board staying where and as it is otherwise. */
export function standoffSamples(
  world: VirtualWorld,
  spacersMm: readonly number[],
  seconds = 3,
  hz = 20,
): { spacerM: number; samples: PhysicalSample[] }[] {
  return spacersMm.map((millimetres) => {
    world.advanceTo(world.hands.setSpacer(millimetres));
    return { spacerM: millimetres / 1000, samples: collect(world, world.hands.rest(seconds), hz) };
  });
}

/** An invented set-up at a place drawn between two latitudes, away from the magnetic poles. */
export function randomSetUp(
  seed: number,
  options: Omit<WorldOptions, 'seed'> & { latitudesDeg?: [number, number]; horizontalNt?: number } = {},
): VirtualWorld {
  const { latitudesDeg = [-60, 65], horizontalNt = 6000, date = new Date(), ...rest } = options;
  const random = new Random(seed ^ 0x706c6163);
  const draw = (): Place => ({
    latitudeRad: random.between(...latitudesDeg) * degree,
    longitudeRad: random.between(-180, 180) * degree,
    elevationM: random.between(0, 1500),
  });
  let place = draw();
  for (let field = modelledField(place, date); field.fieldNt * Math.cos(field.dipRad) < horizontalNt;) {
    place = draw();
    field = modelledField(place, date);
  }
  const scene: Scene = {
    ...(place.latitudeRad < 0 ? scenes.woolshed : scenes.orchard),
    name: `set-up ${seed}`,
    words: 'An invented set-up at a place drawn at random.',
    place,
  };
  return new VirtualWorld(scene, { ...rest, seed, date });
}

function physical(world: VirtualWorld, counts: RawCounts): PhysicalSample {
  const sample: PhysicalSample = {
    timeS: world.timeS,
    accelG: world.accelerometer.physical(counts.accel),
    fieldNt: world.magnetometer.physical(counts.field),
    temperatureC: counts.temperature / 256 + 25,
  };
  if (world.gyro && counts.rate) sample.rateDps = world.gyro.physical(counts.rate);
  return sample;
}
