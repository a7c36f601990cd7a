import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { balanceOf, massByCounterweight, massByDovetail } from '../../calibration/balance/balance.ts';
import { shaftCure, tubeCure } from '../../calibration/balance/cure.ts';
import { placesOf } from '../../calibration/balance/places.ts';
import { loadKgMm, type Rig } from '../../calibration/balance/rig.ts';
import { balanceWords, judgeBalance } from '../../host/steps/balanceReport.ts';

const barn: Rig = {
  name: 'barn',
  travelMm: [-60, 90],
  parts: [
    { name: 'tube', massKg: 5.2, alongMm: 40, outMm: 180 },
    { name: 'camera', massKg: 0.9, alongMm: -330, outMm: 185 },
    { name: 'finder', massKg: 0.4, alongMm: -150, outMm: 260, sideMm: 40 },
  ],
  counterweights: [{ massKg: 5, fromMm: 90, toMm: 340 }],
  shaft: { massKg: 1.1, centreMm: 170 },
};
const withWeights = (...counterweights: Rig['counterweights']): Rig => ({ ...barn, counterweights });

describe('statics by hand', () => {
  it('puts dovetail and counterweight where the moments cancel', () => {
    const balance = balanceOf(barn);
    // 5.2 x 40 - 0.9 x 330 - 0.4 x 150 = -149 kg mm over 6.5 kg
    expect(balance.dovetailShiftMm).toBeCloseTo(149 / 6.5, 9);
    // (5.2 x 180 + 0.9 x 185 + 0.4 x 260 - 1.1 x 170) / 5
    expect(balance.counterweightAtMm).toBeCloseTo((936 + 166.5 + 104 - 187) / 5, 9);
    expect(balance.declinationMomentBeforeNm).toBeCloseTo(-0.149 * 9.80665, 9);
    expect(balance.rightAscensionMomentBeforeNm).toBeCloseTo(1.0195 * 9.80665, 9);
    expect(balance.declinationMomentAfterNm).toBeCloseTo(0, 12);
    expect(balance.rightAscensionMomentAfterNm).toBeCloseTo(0, 9);
    expect(balance.sideMomentNm).toBeCloseTo(0.016 * 9.80665, 9);
  });

  it('comes back to nothing to do once everything stands there', () => {
    fc.assert(
      fc.property(
        fc.array(
          fc.record({
            massKg: fc.double({ min: 0.1, max: 9, noNaN: true }),
            alongMm: fc.double({ min: -600, max: 600, noNaN: true }),
            outMm: fc.double({ min: 120, max: 300, noNaN: true }),
          }),
          { minLength: 1, maxLength: 6 },
        ),
        (drawn) => {
          const parts = drawn.map((part, i) => ({ name: `part ${i}`, ...part }));
          const rig: Rig = {
            ...barn,
            travelMm: [-700, 700],
            parts,
            counterweights: [{ massKg: 9, fromMm: 1, toMm: 3000 }],
          };
          const first = balanceOf(rig);
          if (first.missingKgMm !== 0) return;
          const moved = parts.map((part) => ({ ...part, alongMm: part.alongMm + first.dovetailShiftMm }));
          const atMm = first.counterweightAtMm;
          const second = balanceOf({
            ...rig,
            parts: moved,
            counterweights: [{ massKg: 9, fromMm: 1, toMm: 3000, atMm }],
          });
          expect(second.dovetailShiftMm).toBeCloseTo(0, 6);
          expect(second.declinationMomentBeforeNm).toBeCloseTo(0, 6);
          expect(second.rightAscensionMomentBeforeNm).toBeCloseTo(0, 6);
        },
      ),
      { seed: 11, numRuns: 200 },
    );
  });

  it('carries what is not known of the masses to both places', () => {
    const parts = barn.parts.map((part, i) => ({ ...part, sigmaKg: [0.2, 0.05, 0.03][i] }));
    const rig: Rig = { ...barn, parts, counterweights: [{ massKg: 5, sigmaKg: 0.1, fromMm: 90, toMm: 340 }] };
    const at = (i: number, massKg: number) =>
      balanceOf({ ...rig, parts: parts.map((part, j) => (j === i ? { ...part, massKg } : part)) });
    const step = 1e-5;
    const slopes = parts.map(({ massKg, sigmaKg }, i) => {
      const [low, high] = [at(i, massKg - step), at(i, massKg + step)];
      return {
        shift: ((high.dovetailShiftMm - low.dovetailShiftMm) / (2 * step)) * sigmaKg,
        weight: ((high.counterweightAtMm - low.counterweightAtMm) / (2 * step)) * sigmaKg,
      };
    });
    const { sigmaDovetailShiftMm, sigmaCounterweightAtMm, counterweightAtMm } = balanceOf(rig);
    expect(sigmaDovetailShiftMm).toBeCloseTo(Math.hypot(...slopes.map(({ shift }) => shift)), 6);
    const own = (counterweightAtMm / 5) * 0.1;
    expect(sigmaCounterweightAtMm).toBeCloseTo(Math.hypot(own, ...slopes.map(({ weight }) => weight)), 6);
    expect(sigmaDovetailShiftMm).toBeGreaterThan(1);
  });
});

describe('several counterweights', () => {
  it('stand together while their ranges let them, whatever their masses', () => {
    const { counterweightAtMm, counterweightPlacesMm } = balanceOf(
      withWeights({ massKg: 3, fromMm: 90, toMm: 340 }, { massKg: 1.5, fromMm: 90, toMm: 340 }),
    );
    expect(counterweightPlacesMm[0]).toBeCloseTo(counterweightAtMm, 6);
    expect(counterweightPlacesMm[1]).toBeCloseTo(counterweightAtMm, 6);
  });

  it('are spread where one of them is at the end of its range, with the same moment', () => {
    const rig = withWeights({ massKg: 3, fromMm: 90, toMm: 180 }, { massKg: 2, fromMm: 90, toMm: 340 });
    const { counterweightPlacesMm, counterweightAtMm, rightAscensionMomentAfterNm } = balanceOf(rig);
    expect(counterweightPlacesMm[0]).toBeCloseTo(180, 6);
    expect(counterweightPlacesMm[1]).toBeCloseTo((loadKgMm(rig) - 3 * 180) / 2, 6);
    expect(counterweightAtMm).toBeCloseTo(loadKgMm(rig) / 5, 9);
    expect(rightAscensionMomentAfterNm).toBeCloseTo(0, 9);
    expect(balanceWords(rig, judgeBalance(rig)).join(' ')).toContain(
      'Spread the counterweights: 3.0 kg at 180 mm, 2.0 kg at 240 mm.',
    );
  });

  it('stand one behind the other where their thickness is known', () => {
    const weights = [
      { massKg: 3, fromMm: 50, toMm: 340, thickMm: 60 },
      { massKg: 2, fromMm: 50, toMm: 340, thickMm: 40 },
    ];
    const { placesMm, missingKgMm } = placesOf(weights, 5 * 200);
    expect(missingKgMm).toBe(0);
    expect(placesMm[1] - placesMm[0]).toBeCloseTo(50, 9);
    expect(3 * placesMm[0] + 2 * placesMm[1]).toBeCloseTo(1000, 6);
  });
});

describe('limits', () => {
  it('says by how much the dovetail is too short, and the mass that balances the tube at its end', () => {
    const rig: Rig = { ...barn, travelMm: [-60, 10], endsMm: [-420, 380] };
    const verdict = judgeBalance(rig);
    expect(verdict.accepted).toBe(false);
    expect(verdict.balance.dovetailShortMm).toBeCloseTo(149 / 6.5 - 10, 9);
    expect(verdict.balance.declinationMomentAfterNm).toBeCloseTo((-0.149 + 0.065) * 9.80665, 9);
    expect(verdict.reason).toContain('13 mm short');
    const cure = tubeCure(rig, verdict.balance)!;
    expect(cure).toMatchObject({ end: 'sky', alongMm: 380, isAssumed: false });
    const cured = { ...rig, parts: [...rig.parts, { name: 'bag', massKg: cure.massKg, alongMm: 380, outMm: 180 }] };
    expect(balanceOf(cured).dovetailShiftMm).toBeCloseTo(10, 9);
  });

  it('assumes the end of a tube that nobody told, says so, and takes no part near the axis for it', () => {
    const rig: Rig = { ...barn, travelMm: [-60, 10] };
    const verdict = judgeBalance(rig);
    // 149 - 6.5 x 10 = 84 kg mm are missing, on 300 + 10 mm
    const cure = tubeCure(rig, verdict.balance)!;
    expect(cure).toMatchObject({ end: 'sky', alongMm: 300, isAssumed: true });
    expect(cure.massKg).toBeCloseTo(84 / 310, 9);
    expect(verdict.cures.join(' ')).toContain('does not say where that end of the tube is, so 300 mm is assumed');
    const bag = { name: 'bag', massKg: cure.massKg, alongMm: cure.alongMm, outMm: 180 };
    expect(balanceOf({ ...rig, parts: [...rig.parts, bag] }).dovetailShiftMm).toBeCloseTo(10, 9);
    // a camera farther out than that is a place where something can hang
    const rear = {
      ...barn,
      travelMm: [-20, 90] as const,
      parts: [{ name: 'tube', massKg: 6, alongMm: 90, outMm: 180 }, barn.parts[1]],
    };
    const behind = tubeCure(rear, judgeBalance(rear).balance)!;
    expect(behind).toMatchObject({ end: 'eyepiece', alongMm: -330, isAssumed: false });
    // 6 x 90 - 0.9 x 330 - 6.9 x 20 = 105 kg mm, on 330 + 20 mm
    expect(behind.massKg).toBeCloseTo(105 / 350, 9);
    expect(judgeBalance(rear).cures.join(' ')).not.toContain('assumed');
  });

  it('does the same toward the eyepiece end', () => {
    const rig: Rig = {
      ...barn,
      travelMm: [-20, 90],
      parts: [{ name: 'tube', massKg: 6, alongMm: 35, outMm: 180 }],
      endsMm: [-400, 380],
    };
    const { balance, cures } = judgeBalance(rig);
    expect(balance.dovetailShortMm).toBeCloseTo(-15, 9);
    const cure = tubeCure(rig, balance)!;
    expect(cure.massKg * (400 + 20)).toBeCloseTo(6 * 15, 9);
    expect(cures[0]).toBe('Use a dovetail 15 mm longer toward the sky end.');
  });

  it('says by how much the shaft is too short, and the weight that cures it', () => {
    const rig = withWeights({ massKg: 2.5, fromMm: 90, toMm: 340 });
    const { balance, accepted, reason } = judgeBalance(rig);
    expect(accepted).toBe(false);
    expect(balance.counterweightAtMm).toBeCloseTo(1019.5 / 2.5, 9);
    expect(reason).toContain('68 mm farther out');
    const cure = shaftCure(rig, balance);
    expect(cure).toMatchObject({ kind: 'more', atMm: 340 });
    if (cure?.kind !== 'more') throw new Error('more');
    const [weight] = rig.counterweights;
    expect(balanceOf(withWeights(weight, { ...weight, massKg: cure.massKg })).missingKgMm).toBeCloseTo(0, 6);
    expect(cure.longerMm).toBeCloseTo(1019.5 / 2.5 - 340, 9);
    expect(judgeBalance(withWeights({ massKg: 2.5, fromMm: 90, toMm: 340 + cure.longerMm })).accepted).toBe(true);
  });

  it('says how much of the weights is too much, and when the shaft alone is', () => {
    const heavy = withWeights({ massKg: 12, fromMm: 100, toMm: 340 });
    const cure = shaftCure(heavy, balanceOf(heavy));
    if (cure?.kind !== 'less') throw new Error('less');
    expect(judgeBalance(withWeights({ massKg: 12 - cure.massKg, fromMm: 100, toMm: 340 })).accepted).toBe(true);
    expect(judgeBalance(withWeights({ massKg: 12 - 0.9 * cure.massKg, fromMm: 100, toMm: 340 })).accepted).toBe(false);
    const light: Rig = { ...barn, parts: [{ name: 'tube', massKg: 0.5, alongMm: 0, outMm: 100 }] };
    expect(shaftCure(light, balanceOf(light))).toEqual({ kind: 'shaft' });
    expect(judgeBalance({ ...barn, counterweights: [] }).reason).toBe('There is no counterweight.');
  });

  it('reaches the very ends of travel and shaft', () => {
    expect(judgeBalance({ ...barn, travelMm: [0, 149 / 6.5] }).accepted).toBe(true);
    expect(judgeBalance(withWeights({ massKg: 5, fromMm: 203.9, toMm: 340 })).accepted).toBe(true);
    expect(judgeBalance(withWeights({ massKg: 5, fromMm: 90, toMm: 203.8 })).accepted).toBe(false);
  });
});

describe('a mass found by balancing', () => {
  it('comes out of two places of the counterweights', () => {
    const camera = barn.parts[1];
    const without = balanceOf({ ...barn, parts: [barn.parts[0], barn.parts[2]] }).counterweightAtMm;
    const mass = massByCounterweight(5, without, balanceOf(barn).counterweightAtMm, camera.outMm);
    expect(mass.massKg).toBeCloseTo(0.9, 9);
    expect(mass.sigmaKg).toBeCloseTo((5 * Math.SQRT2) / 185, 9);
  });

  it('comes out of two settings of the dovetail', () => {
    const without = balanceOf({ ...barn, parts: [barn.parts[0], barn.parts[2]] }).dovetailShiftMm;
    const on = balanceOf(barn).dovetailShiftMm;
    const { massKg, sigmaKg } = massByDovetail(5.6, without, on, -330);
    expect(massKg).toBeCloseTo(0.9, 9);
    const [dw, dn] = [0.001, 0.001].map(
      (step, i) =>
        (massByDovetail(5.6, without + (i === 0 ? step : 0), on + (i === 1 ? step : 0), -330).massKg - massKg) / step,
    );
    expect(sigmaKg).toBeCloseTo(Math.hypot(dw, dn), 4);
  });
});
