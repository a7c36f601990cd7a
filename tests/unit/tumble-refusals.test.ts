import { describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import type { Gate } from '../../calibration/gate.ts';
import { decisive } from '../../calibration/gate.ts';
import { fitTumble } from '../../calibration/tumble/fit.ts';
import { fitOneSensor } from '../../calibration/tumble/oneSensor.ts';
import type { TumbleOptions, TumbleSample } from '../../calibration/tumble/types.ts';
import { type Vector3, vector3 } from '../../calibration/vector.ts';
import { Random } from '../../firmware-proto/virtual/random.ts';
import {
  chipProfiles,
  exactReading,
  noisyReading,
  randomAttitude,
  randomBoard,
  tumbleOf,
} from '../statistics/tumble-boards.ts';

const seed = 42;
const clean = (count = 400, keep?: (up: Vector3, field: Vector3) => boolean): TumbleSample[] => {
  const random = new Random(seed);
  return tumbleOf(random, randomBoard(random), chipProfiles.typical, count, keep);
};
const { site } = randomBoard(new Random(seed));
const changeField = (samples: TumbleSample[], change: (field: Vector3, i: number) => Vector3): TumbleSample[] =>
  samples.map((sample, i) => ({ ...sample, fieldNt: change(sample.fieldNt, i) }));

const verdict = (samples: TumbleSample[], options: TumbleOptions = {}): Gate | undefined => {
  const result = fitTumble(samples, options);
  const gate = decisive(result.gates);
  if (gate?.verdict === 'stop') expect(result.accepted).toBe(false);
  for (const each of result.gates) {
    expect(Number.isFinite(each.value) && Number.isFinite(each.limit)).toBe(true);
    expect(each.nextAction.length).toBeGreaterThan(10);
  }
  return gate;
};

/** A turn about one axis of the board only. */
function flat(): TumbleSample[] {
  const random = new Random(seed);
  const board = randomBoard(random);
  return Array.from({ length: 300 }, () => {
    const turn = random.between(0, 2 * Math.PI);
    const up: Vector3 = [Math.cos(turn), Math.sin(turn), 0];
    const field: Vector3 = [-Math.sin(board.dipRad) * up[0], -Math.sin(board.dipRad) * up[1], Math.cos(board.dipRad)];
    return noisyReading(random, exactReading(board, up, field), chipProfiles.typical);
  });
}

describe('a clean tumble', () => {
  it('is accepted without a word, with and without a site', () => {
    expect(verdict(clean(600), { site })).toBeUndefined();
    expect(verdict(clean(600))).toBeUndefined();
  });
});

describe('the tumble refuses, with reason, value, limit, unit and next action', () => {
  const cases: [string, () => Gate | undefined, RegExp][] = [
    ['no readings', () => verdict([]), /no readings/],
    ['too few readings', () => verdict(clean(8)), /too few readings/],
    [
      'readings that are not numbers',
      () => verdict(clean().map((s, i) => (i % 10 === 0 ? { ...s, accelG: [NaN, 0, 1] as Vector3 } : s))),
      /not numbers/,
    ],
    [
      'no motion',
      () => {
        const random = new Random(1);
        const still = clean(1)[0];
        return verdict(Array.from({ length: 300 }, () => noisyReading(random, still, chipProfiles.typical)));
      },
      /not t(urned|ilted)/,
    ],
    [
      'a board that was turned, but only about the vertical',
      () =>
        verdict(
          clean(400).map((s, i) => ({
            ...s,
            accelG: [0.01 * Math.sin(i), 0.01 * Math.cos(i), 1 + 0.005 * Math.sin(2 * i)],
          })),
        ),
      /not tilted: the accelerometer saw the same side up/,
    ],
    ['a flat tumble', () => verdict(flat()), /flat|share of the sphere/],
    [
      'a narrow cone of the sphere',
      () => verdict(clean(400, (up, field) => up[2] > 0.85 && field[0] > 0)),
      /share of the sphere/,
    ],
    [
      'a stuck axis',
      () => verdict(changeField(clean(), ([x, , z]) => [x, 1234, z])),
      /magnetometer's axis Y never changes/,
    ],
    [
      'a saturated magnetometer',
      () => verdict(changeField(clean(), (field) => vector3(field.map((v) => Math.max(-30_000, Math.min(30_000, v)))))),
      /saturated/,
    ],
    [
      'mixed units of the accelerometer',
      () =>
        verdict(clean().map((s, i) => (i % 2 === 0 ? s : { ...s, accelG: vector3(s.accelG.map((v) => 9.80665 * v)) }))),
      /accelerometer's readings jump.*units are mixed/,
    ],
    [
      'metres per second squared throughout',
      () => verdict(clean().map((s) => ({ ...s, accelG: vector3(s.accelG.map((v) => 9.80665 * v)) }))),
      /not in g/,
    ],
    [
      'gauss in a microtesla column',
      () => verdict(changeField(clean(), (f) => vector3(f.map((v) => v / 100)))),
      /not in microtesla/,
    ],
    [
      'an axis with a wrong sign',
      () =>
        verdict(
          changeField(clean(), ([x, y, z]) => [x, -y, z]),
          { site },
        ),
      /left-handed/,
    ],
    [
      'an axis with a wrong sign, no site',
      () => verdict(changeField(clean(), ([x, y, z]) => [x, -y, z])),
      /left-handed/,
    ],
    [
      'a magnetometer upside down, no site: it might as well be a mirrored axis in the other hemisphere',
      () => verdict(changeField(clean(), ([x, y, z]) => [y, x, -z])),
      /one sensor is turned on the board, or it is left-handed/,
    ],
    [
      'two axes that changed places',
      () =>
        verdict(
          changeField(clean(), ([x, y, z]) => [y, x, z]),
          { site },
        ),
      /left-handed/,
    ],
    [
      'an accelerometer that reads +1 g downward',
      () =>
        verdict(
          clean().map((s) => ({ ...s, accelG: vector3(s.accelG.map((v) => -v)) })),
          { site },
        ),
      /signs reversed/,
    ],
    [
      'a magnet that comes near half-way',
      () => verdict(changeField(clean(), ([x, y, z], i) => (i < 200 ? [x, y, z] : [x + 9000, y - 6000, z + 4000]))),
      /scatter of the field strength/,
    ],
    [
      'a place whose dip is not the model’s',
      () => verdict(clean(600), { site: { ...site, dipRad: site.dipRad + 8 * degree } }),
      /dip against the magnetic model/,
    ],
    [
      'iron in the chip’s own range of full scale',
      () => verdict(clean(), { fullScale: { accelG: 2, fieldNt: 20_000 } }),
      /saturated/,
    ],
  ];
  it.each(cases)('%s', (_, run, reason) => {
    const gate = run();
    expect(gate?.verdict).toBe('stop');
    expect(gate?.reason).toMatch(reason);
  });
});

describe('what it does not cry wolf about', () => {
  it('chips askew by several degrees', () => {
    const c = Math.cos(8 * degree);
    const s = Math.sin(8 * degree);
    const askew = changeField(clean(600), ([x, y, z]) => [c * x - s * y, s * x + c * y, z]);
    expect(fitTumble(askew, { site }).accepted).toBe(true);
  });

  it('a magnetometer mounted on its side is turned back, with a caution', () => {
    const turned = changeField(clean(600), ([x, y, z]) => [z, x, y]);
    const result = fitTumble(turned, { site });
    expect(result.accepted).toBe(true);
    expect(decisive(result.gates)?.reason).toMatch(/turned against the accelerometer/);
    const direct = fitTumble(clean(600), { site });
    const [one, other] = [result, direct].map((r) => r.calibration?.dipRad ?? NaN);
    expect(Math.abs(one - other)).toBeLessThan(0.01 * degree);
  });

  it('a coarse chip that rests for long with the nose straight up', () => {
    const random = new Random(seed);
    const board = randomBoard(random);
    const rest = randomAttitude(random, board.dipRad, (up) => up[0] > 0.999);
    const coarse = (v: number): number => Math.round(v * 64) / 64;
    const readings = [
      ...tumbleOf(random, board, chipProfiles.typical, 500),
      ...Array.from({ length: 100 }, () =>
        noisyReading(random, exactReading(board, rest.up, rest.field), { accelG: 0.0002, fieldNt: 320 }),
      ),
    ].map((s) => ({ ...s, accelG: vector3(s.accelG.map(coarse)) }));
    expect(
      fitTumble(readings, { site: board.site })
        .gates.map(({ reason }) => reason)
        .join(),
    ).not.toMatch(/saturated/);
  });

  it('hand shake in a tenth of the readings: left out, hardly felt', () => {
    const random = new Random(9);
    const shaken = clean(600).map((s, i) =>
      i % 10 === 3 ? { ...s, accelG: vector3(s.accelG.map((v) => v + 0.3 * random.normal())) } : s,
    );
    const result = fitTumble(shaken, { site });
    expect(result.accepted).toBe(true);
    expect(result.samplesRejected).toBeGreaterThan(50);
    expect(result.samplesRejected).toBeLessThan(70);
    const still = fitTumble(clean(600), { site });
    expect((result.calibration?.sigmaHeadingRad ?? NaN) / (still.calibration?.sigmaHeadingRad ?? NaN)).toBeLessThan(
      1.15,
    );
  });
});

describe('partial data, each with a plain word', () => {
  it('counts of unknown scale: strength relative only', () => {
    const counts = clean(600).map(({ accelG, fieldNt }) => ({
      accelG: vector3(accelG.map((v) => v * 16_384)),
      fieldNt: vector3(fieldNt.map((v) => v / 92)),
    }));
    const raw = fitTumble(counts, { rawScale: { accelerometer: true, magnetometer: true } });
    const known = fitTumble(clean(600));
    expect(raw.accepted).toBe(true);
    expect(raw.calibration?.fieldNt).toBe(1);
    const ratio = (raw.calibration?.sigmaHeadingRad ?? NaN) / (known.calibration?.sigmaHeadingRad ?? NaN);
    expect(Math.abs(ratio - 1)).toBeLessThan(0.1);
  });

  it('a sensor alone says what stays unknown', () => {
    const samples = clean(600);
    const gravity = fitOneSensor(
      samples.map(({ accelG }) => accelG),
      { sensor: 'accelerometer', length: 1 },
    );
    const strength = fitOneSensor(
      samples.map(({ fieldNt }) => fieldNt),
      { sensor: 'magnetometer' },
    );
    expect(gravity.accepted && strength.accepted).toBe(true);
    expect(gravity.stillUnknown).toMatch(/no azimuth/);
    expect(strength.stillUnknown).toMatch(/dip stay unknown/);
  });
});

describe('coverage', () => {
  it('says how to turn the board next', () => {
    const noseNeverDown = clean(400, (up) => up[0] > -0.5);
    expect(fitTumble(noseNeverDown).coverage.nextTurn).toMatch(/arrow X down/);
    expect(fitTumble(clean(600)).coverage.nextTurn).toBeUndefined();
  });

  it('counts both sensors in 48 cells', () => {
    const { cells } = fitTumble(clean(600)).coverage;
    expect(cells).toHaveLength(48);
    expect(cells.reduce((sum, cell) => sum + cell.accelCount, 0)).toBeGreaterThan(590);
  });
});
