// What a person reads of a finished measurement: a refusal first, and then nothing to act on.
import { afterEach, describe, expect, it, vi } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { fitLevel } from '../../calibration/level.ts';
import { fitSwing } from '../../calibration/swing/fitSwing.ts';
import { levelWords } from '../../host/steps/levelStep.ts';
import { tellResult } from '../../host/commands/tellResult.ts';
import { swingJson, swingWords } from '../../host/steps/swingReport.ts';
import { exactCalibration, exactDwells, type ExactMount } from './swingExact.ts';

const mount: ExactMount = {
  altitudeRad: 49 * degree,
  magneticAzimuthRad: -6 * degree,
  fieldNt: 53_000,
  dipRad: 67 * degree,
  axisInBoard: [1, 0, 0],
  ironNt: [0, 0, 0],
};
const site = {
  pole: { altitudeRad: 47 * degree, azimuthRad: 0 },
  variationRad: 14 * degree,
  sigmaVariationRad: 0.3 * degree,
  fieldNt: mount.fieldNt,
  sigmaFieldNt: 138,
  dipRad: mount.dipRad,
  sigmaDipRad: 0.2 * degree,
};
const swung = (arcDeg: number) => {
  const rolls = Array.from({ length: 8 }, (_, i) => (i * arcDeg * degree) / 7);
  return fitSwing([exactDwells(mount, rolls)], exactCalibration(mount), { site });
};

afterEach(() => vi.restoreAllMocks());
function printed(asJson: boolean, arcDeg: number): string {
  let text = '';
  vi.spyOn(process.stdout, 'write').mockImplementation((part) => ((text += String(part)), true));
  const swing = swung(arcDeg);
  tellResult('swing', swing, swingJson(swing), swingWords(swing), asJson);
  vi.restoreAllMocks();
  return text;
}

describe('a swing over 18 degrees', () => {
  it('is refused before anything else, and gives no order for a bolt', () => {
    const text = printed(false, 18);
    expect(text).toMatch(/^REFUSED: /);
    expect(text).not.toMatch(/too (high|low|far)|Raise|Lower|Move the axis/);
  });

  it('keeps its numbers for machines, accepted false', () => {
    const json = JSON.parse(printed(true, 18));
    expect(json).toMatchObject({ accepted: false, altitudeErrorDeg: expect.any(Number) });
    expect(json.words).not.toMatch(/Raise|Lower|Move the axis/);
  });

  it('tells what to do once the arc is enough', () => {
    const text = printed(false, 300);
    expect(text).not.toMatch(/REFUSED/);
    expect(text).toMatch(/too high, give or take/);
  });
});

it('a refused level says nothing of the bolts either', () => {
  const place = { poleAltitudeRad: 0.7, fieldNt: 52_000, dipRad: 1.2, variationRad: 0 };
  const onEdge = fitLevel({ accelG: [0, 1, 0], sigmaAccelG: 0.001 }, { accelG: [0, 0, 1], sigmaAccelG: 0.001 }, place);
  expect(onEdge.accepted).toBe(false);
  expect(levelWords(onEdge)).toEqual([]);
});
