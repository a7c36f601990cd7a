import { describe, expect, it } from 'vitest';
import { arcminute, degree } from '../../calibration/angle.ts';
import {
  angleBetweenRad,
  dot,
  norm,
  rotationAbout,
  subtract,
  type Matrix3,
  type Vector3,
} from '../../calibration/vector.ts';
import { fromNed, toNed } from '../../calibration/polarAxis.ts';
import { skylineOf } from '../../firmware-proto/virtual/scene.ts';
import { nudge, PracticeHands } from '../../firmware-proto/virtual/handsPractice.ts';
import { between, rateBetween, rotationVector, tumbleAttitude } from '../../firmware-proto/virtual/handsPath.ts';
import { Random } from '../../firmware-proto/virtual/random.ts';
import { createWorld, type VirtualWorld } from '../../firmware-proto/virtual/world.ts';
import { levelSamples } from '../../firmware-proto/virtual/worldSamples.ts';

const column = (m: Matrix3, i: number): Vector3 => [m[i], m[3 + i], m[6 + i]];
const turnedDeg = (a: Matrix3, b: Matrix3): number => norm(rateBetween(a, b, 1));
const clean = { turningIronNt: 0, softIron: 0, tripodIronNt: 0, tremor: 0 };

describe('turning from one attitude to another', () => {
  it('finds the rotation vector for every angle, half a turn included', () => {
    for (const angle of [0, 1e-9, 0.3, Math.PI / 2, 3.1, Math.PI]) {
      const axis: Vector3 = [0.6, 0, 0.8];
      const vector = rotationVector(rotationAbout(axis, angle));
      expect(norm(vector)).toBeCloseTo(angle, 9);
      if (angle > 0.01) expect(Math.abs(dot(vector, axis))).toBeCloseTo(angle, 9);
    }
  });

  it('starts at the one, ends at the other and takes the shortest way', () => {
    const a = rotationAbout([0, 0, 1], 0.2);
    const b = rotationAbout([0, 1, 0], 2);
    expect(turnedDeg(between(a, b, 0), a)).toBeCloseTo(0, 6);
    expect(turnedDeg(between(a, b, 1), b)).toBeCloseTo(0, 6);
    expect(turnedDeg(a, between(a, b, 0.5))).toBeCloseTo(turnedDeg(a, b) / 2, 6);
  });
});

describe('everything that hands do', () => {
  it.each(['orchard', 'woolshed'] as const)('is smooth in %s: never faster than 300 degrees a second', (scene) => {
    const world = createWorld(scene, { seed: 6 });
    const { hands } = world;
    hands.tumble();
    hands.sweep(skylineOf(world.scene));
    hands.layOnBase(0);
    hands.layOnBase(180);
    hands.clip();
    hands.turnBolt('azimuth', 1);
    hands.swing();
    hands.reverseClip();
    const doneS = hands.lock('altitude');
    let last = world.pose.attitude;
    let fastest = 0;
    for (let t = 0.01; t < doneS; t += 0.01) {
      world.advanceTo(t);
      const attitude = world.pose.attitude;
      fastest = Math.max(fastest, turnedDeg(last, attitude) / 0.01);
      last = attitude;
    }
    expect(fastest).toBeGreaterThan(60);
    expect(fastest).toBeLessThan(300);
  });

  it('happens one after the other, in words, until the promise of the queue is kept', async () => {
    const world = createWorld('orchard', { seed: 6 });
    expect(world.hands.words()).toBe('hands off');
    const firstS = world.hands.turnBolt('altitude', -0.5);
    const secondS = world.hands.lock('altitude');
    expect(firstS).toBeCloseTo(0.5 / 0.4 + 0.3, 9);
    expect(secondS).toBeCloseTo(firstS + 3, 9);
    let kept = false;
    const done = world.hands.whenDone().then(() => (kept = true));
    world.advanceTo(0.5);
    expect(world.hands.words()).toBe('turning the altitude bolt by 0.50 turns, lowering');
    world.advanceTo(firstS + 0.5);
    expect(world.hands.words()).toBe('locking the altitude bolt');
    await Promise.resolve();
    expect(kept).toBe(false);
    world.advanceTo(secondS);
    await done;
    expect(world.hands.busy()).toBe(false);
  });

  it('is the same whether time runs in small steps or in one', () => {
    const errorsAfter = (stepS: number) => {
      const world = createWorld('woolshed', { seed: 8 });
      world.hands.turnBolt('azimuth', 0.7);
      world.hands.lock('azimuth');
      for (let t = stepS; t <= 12; t += stepS) world.advanceTo(t);
      return world.truth().azimuthErrorRad;
    };
    expect(errorsAfter(12)).toBeCloseTo(errorsAfter(0.01), 9);
  });
});

describe('a tumble', () => {
  it('turns "up" over the whole sphere of the board, with rests', () => {
    const shape = { coverage: 1, turns: 6.4, restEveryS: 1.5, durationS: 30, phaseRad: 1 };
    const cells = new Set<string>();
    let rests = 0;
    for (let t = 0; t < 30; t += 0.05) {
      const attitude = tumbleAttitude(shape, t);
      const [x, y, z] = [-attitude[6], -attitude[7], -attitude[8]];
      cells.add(`${Math.floor((z + 1) * 2.999)} ${Math.floor((Math.atan2(y, x) / Math.PI + 1) * 3.999)}`);
      if (turnedDeg(attitude, tumbleAttitude(shape, t + 0.01)) < 0.05) rests += 1;
    }
    expect(cells.size).toBe(48);
    expect(rests).toBeGreaterThan(20);
  });
});

describe('placements of the board', () => {
  const settled = (world: VirtualWorld, untilS: number): Matrix3 => {
    world.advanceTo(untilS);
    return world.pose.attitude;
  };

  it('clipped on, turns about the polar axis and nothing else', () => {
    const world = createWorld('orchard', { seed: 12 });
    const axis = world.axisInBoard();
    const before = settled(world, 0.1);
    const after = settled(world, world.hands.turnAxis(1.2));
    expect(norm(subtract(world.axisInBoard(), axis))).toBeLessThan(1e-12);
    const turn = rateBetween(before, after, 1);
    expect(norm(turn)).toBeCloseTo(1.2 / degree, 9);
    expect(Math.abs(dot(turn, axis)) / norm(turn)).toBeCloseTo(1, 12);
    expect(angleBetweenRad(axis, [1, 0, 0]) / degree).toBeLessThan(10.001);
  });

  it('end for end, has the axis along the other way, askew by no more than the clip is', () => {
    const world = createWorld('orchard', { seed: 12 });
    world.advanceTo(world.hands.reverseClip());
    expect(angleBetweenRad(world.axisInBoard(), [-1, 0, 0]) / degree).toBeLessThan(10.001);
  });

  it('on the base, half the difference of the two ways round is the tilt, whatever the bias (common practice)', () => {
    const tilts = Array.from({ length: 12 }, (_, seed) => {
      const world = createWorld('woolshed', { seed, ...clean });
      const [here, there] = levelSamples(world, 3).map((samples) =>
        [0, 1].map((i) => samples.reduce((sum, sample) => sum + sample.accelG[i], 0) / samples.length),
      );
      const measuredRad = Math.asin(Math.hypot(here[0] - there[0], here[1] - there[1]) / 2);
      const trueRad = angleBetweenRad(column(world.mount.tilt, 2), [0, 0, 1]);
      // The scale of the accelerometer is not corrected here, and 60 samples of 2 mg leave 0.3 mg.
      expect(Math.abs(measuredRad - trueRad)).toBeLessThan(0.04 * trueRad + 0.001);
      return trueRad / degree;
    });
    expect(Math.max(...tilts)).toBeGreaterThan(1);
  });
});

describe('a sweep of the skyline', () => {
  it('points the x axis of the board at the top of what hides the sky', () => {
    const world = createWorld('orchard', { seed: 2 });
    const skyline = skylineOf(world.scene);
    expect(skyline(0) / degree).toBeCloseTo(52, 9);
    expect(skyline(100 * degree)).toBe(0);
    expect(skyline(12 * degree) / degree).toBeCloseTo(52, 9);
    expect(skyline(75.5 * degree) / degree).toBeCloseTo(23, 9);
    const doneS = world.hands.sweep(skyline, 60);
    world.advanceTo(doneS - 60 + 40);
    const pointing = fromNed(column(world.pose.attitude, 0));
    expect(pointing.azimuthRad / degree).toBeCloseTo(240, 6);
    expect(pointing.altitudeRad / degree).toBeCloseTo(18, 6);
  });
});

describe('a bump', () => {
  it('tilts the base for good, and the axis with it by no more', () => {
    const world = createWorld('orchard', { seed: 2 });
    const before = toNed(world.mount.polarAxis);
    const baseBefore = world.mount.tilt;
    world.advanceTo(world.hands.bump(15 * arcminute) + 5);
    expect(turnedDeg(baseBefore, world.mount.tilt) * 60).toBeCloseTo(15, 6);
    const moved = angleBetweenRad(toNed(world.mount.polarAxis), before) / arcminute;
    expect(moved).toBeGreaterThan(1);
    expect(moved).toBeLessThan(15.001);
  });
});

describe('iron', () => {
  it('of the tripod falls with the third power of the distance when spacers are put in', () => {
    const world = createWorld('orchard', { seed: 5, ...clean, tripodIronNt: 3000 });
    const still = createWorld('orchard', { seed: 5, ...clean });
    const at = (w: VirtualWorld, mm: number) => {
      w.advanceTo(w.hands.setSpacer(mm));
      return w.sensed(w.pose.attitude).fieldNt;
    };
    const distance = norm(world.scene.tripodIron.separationM);
    const bare = norm(subtract(at(world, 0), at(still, 0)));
    const apart = norm(subtract(at(world, 150), at(still, 150)));
    expect(bare).toBeCloseTo(3000, 6);
    expect(bare / apart).toBeCloseTo(((distance + 0.15) / distance) ** 3, 9);
  });

  it('of the tripod and of the turning part is left behind in the hand', () => {
    const world = createWorld('orchard', { seed: 5, tripodIronNt: 3000 });
    world.advanceTo(world.hands.tumble());
    expect(norm(world.sensed(world.pose.attitude).fieldNt)).toBeCloseTo(world.field.fieldNt, 6);
    world.advanceTo(world.hands.clip());
    expect(Math.abs(norm(world.sensed(world.pose.attitude).fieldNt) - world.field.fieldNt)).toBeGreaterThan(1000);
  });

  it('that turns along is a constant in the frame of the board however the axis is turned', () => {
    const world = createWorld('orchard', { seed: 5, softIron: 0, tripodIronNt: 0 });
    const still = createWorld('orchard', { seed: 5, ...clean });
    const differences = [0, 1, 2, 3].map((angle) => {
      world.mount.axisAngleRad = angle;
      still.mount.axisAngleRad = angle;
      return subtract(world.sensed(world.pose.attitude).fieldNt, still.sensed(still.pose.attitude).fieldNt);
    });
    for (const difference of differences) expect(norm(subtract(difference, differences[0]))).toBeLessThan(1e-6);
    expect(norm(differences[0])).toBeGreaterThan(5999);
    expect(norm(differences[0])).toBeLessThan(30_001);
  });

  it.each(['orchard', 'woolshed'] as const)('of the car disturbs the field by more than 1000 nT in %s', (scene) => {
    const world = createWorld(scene, { seed: 5 });
    const before = world.sensed(world.pose.attitude).fieldNt;
    world.advanceTo(world.hands.bringIron(true));
    const near = norm(subtract(world.sensed(world.pose.attitude).fieldNt, before));
    expect(near).toBeGreaterThan(1000);
    world.advanceTo(world.hands.bringIron(false));
    expect(norm(subtract(world.sensed(world.pose.attitude).fieldNt, before))).toBeLessThan(1e-6);
  });
});

describe('hands that go by the needles', () => {
  it.each(['orchard', 'woolshed'] as const)('bring what is SHOWN to zero in %s, not the truth', (scene) => {
    const world = createWorld(scene, { seed: 31 });
    const wrongBy = 20 * arcminute;
    const shown = () => {
      const { altitudeErrorRad, azimuthErrorRad } = world.truth();
      return { altitudeErrorRad: altitudeErrorRad + wrongBy, azimuthErrorRad: azimuthErrorRad - wrongBy };
    };
    let nudges = 0;
    for (; nudges < 40; nudges += 1) {
      const doneS = nudge(world.hands, shown(), 2 * arcminute);
      if (doneS === undefined) break;
      world.advanceTo(doneS);
    }
    expect(nudges).toBeGreaterThan(1);
    expect(nudges).toBeLessThan(40);
    expect(Math.abs(world.truth().altitudeErrorRad + wrongBy)).toBeLessThanOrEqual(2 * arcminute);
    expect(Math.abs(world.truth().azimuthErrorRad - wrongBy)).toBeLessThanOrEqual(2 * arcminute);
  });

  it('practise: come to zero, rest, and turn away again', () => {
    const world = createWorld('orchard', { seed: 14 });
    const practice = new PracticeHands(world.hands, new Random(1));
    const distances: number[] = [];
    for (let t = 1; t < 240; t += 1) {
      world.advanceTo(t);
      practice.offer(world.truth(), 5 * arcminute);
      distances.push(world.truth().distanceRad / arcminute);
    }
    const firstZero = distances.findIndex((distance) => distance < 7);
    expect(firstZero).toBeGreaterThan(2);
    expect(firstZero).toBeLessThan(120);
    expect(Math.max(...distances.slice(firstZero))).toBeGreaterThan(15);
  });
});
