// A zero that moves while the board is tumbled: found, told by its cause, and counted in what is stated.
import { describe, expect, it } from 'vitest';
import type { Gate } from '../../calibration/gate.ts';
import { fitTumble } from '../../calibration/tumble/fit.ts';
import type { TumbleSample } from '../../calibration/tumble/types.ts';
import { add, scale, type Vector3 } from '../../calibration/vector.ts';
import { Random } from '../../firmware-proto/virtual/random.ts';
import { chipProfiles, randomBoard, tumbleOf, type RandomBoard } from '../statistics/tumble-boards.ts';

const seeds = [60, 61, 62, 63, 64, 65];
const count = 900;

/** The gates about moved zeros that are not ok, and the heading stated, of a tumble that `change` has changed. */
function moved(
  seed: number,
  change: (sample: TumbleSample, part: number, board: RandomBoard, direction: Vector3) => TumbleSample,
): { gates: Gate[]; accepted: boolean; headingRad: number } {
  const random = new Random(seed);
  const board = randomBoard(random);
  const direction = random.direction();
  const samples = tumbleOf(random, board, chipProfiles.typical, count);
  const result = fitTumble(
    samples.map((sample, i) => change(sample, i / (count - 1), board, direction)),
    { site: board.site },
  );
  return {
    gates: result.gates.filter(({ reason, verdict }) => reason.includes('zero moved') && verdict !== 'ok'),
    accepted: result.accepted,
    headingRad: result.calibration?.sigmaHeadingRad ?? NaN,
  };
}

const byField =
  (percentAt: (part: number) => number) =>
  (sample: TumbleSample, part: number, board: RandomBoard, direction: Vector3): TumbleSample => ({
    ...sample,
    fieldNt: add(sample.fieldNt, scale(direction, (percentAt(part) / 100) * board.fieldNt)),
  });

describe('a zero that moves during the tumble', () => {
  it('nothing is said of chips that keep theirs', () => {
    for (const seed of seeds) expect(moved(seed, (sample) => sample).gates).toEqual([]);
  });

  it.each([
    ['a magnet that is laid on the board half-way', (part: number) => (part < 0.5 ? 0 : 1)],
    ['iron that comes nearer all the time', (part: number) => 2 * part],
  ])('%s: a caution, and the heading is stated as wide as that makes it', (_, percentAt) => {
    for (const seed of seeds) {
      const { gates, headingRad } = moved(seed, byField(percentAt));
      expect(gates.map(({ reason, verdict }) => `${verdict}: ${reason}`)).toEqual([
        expect.stringMatching(/^caution: the magnetometer's zero moved/),
      ]);
      // half a percent of the field either way, of which at least some is square to the horizontal part
      expect(headingRad).toBeGreaterThan(0.003);
    }
  });

  it('a strong magnet is a stop', () => {
    for (const seed of seeds) {
      const { gates, accepted } = moved(
        seed,
        byField((part) => (part < 0.5 ? 0 : 10)),
      );
      expect(accepted).toBe(false);
      expect(gates.map(({ verdict }) => verdict)).toContain('stop');
    }
  });

  it('an accelerometer that warms up by a hundredth of g is told apart from iron', () => {
    for (const seed of seeds) {
      const { gates } = moved(seed, (sample, part, _, direction) => ({
        ...sample,
        accelG: add(sample.accelG, scale(direction, 0.01 * part)),
      }));
      expect(gates.map(({ reason }) => reason)).toEqual([expect.stringMatching(/^the accelerometer's zero moved/)]);
      expect(gates[0].value).toBeGreaterThan(8);
      expect(gates[0].value).toBeLessThan(12);
    }
  });
});
