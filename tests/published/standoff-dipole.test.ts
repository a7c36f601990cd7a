// A dipole's field (J. D. Jackson, Classical Electrodynamics, section 5.6): B = mu0 / 4 pi (3 (m . r) r - m) / r^3 with r a unit
// vector; on the axis mu0 m / (2 pi r^3): 1 A m^2 gives 200 nT at 1 m (formula and constant from memory).
import { describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { largestDerivativeError } from '../derivativeCheck.ts';
import { decisive } from '../../calibration/gate.ts';
import type { SpacerReading } from '../../calibration/standoff/types.ts';
import { fitStandoff } from '../../calibration/standoff/fitStandoff.ts';
import { shareLeft, standoffModel } from '../../calibration/standoff/model.ts';
import { add, dot, norm, scale, type Vector3 } from '../../calibration/vector.ts';
import { Random } from '../../firmware-proto/virtual/random.ts';
import { standoffWords } from '../../host/steps/standoffWords.ts';

const dipoleNt = (momentAm2: Vector3, fromIronM: Vector3): Vector3 => {
  const r = norm(fromIronM);
  const along = scale(fromIronM, 1 / r);
  return scale(add(scale(along, 3 * dot(momentAm2, along)), scale(momentAm2, -1)), 100 / r ** 3);
};

/** A board with z up and x north; a piece of iron `distanceM` below it. */
const readings = (
  distanceM: number,
  momentAm2: Vector3,
  spacersM: readonly number[],
  earth: Vector3,
): SpacerReading[] =>
  spacersM.map((spacerM) => ({
    spacerM,
    accelG: [0, 0, 1],
    fieldNt: add(earth, dipoleNt(momentAm2, [0, 0, distanceM + spacerM])),
    sigmaFieldNt: 30,
  }));

const earth: Vector3 = [20_000, 0, -48_000];
const site = { fieldNt: 52_000, sigmaFieldNt: 138, dipRad: Math.atan2(48, 20), sigmaDipRad: 0.2 * degree };

describe('stand-off against the dipole formula', () => {
  it('the formula here gives the textbook value on the axis', () => {
    expect(dipoleNt([0, 0, 1], [0, 0, 1])[2]).toBeCloseTo(200, 9);
    expect(dipoleNt([0, 0, 1], [2, 0, 0])[2]).toBeCloseTo(-100 / 8, 9);
  });

  it('leaves an eighth of the field at twice the distance', () => {
    expect(shareLeft(0.1, 0.1)).toBeCloseTo(1 / 8, 12);
  });

  it('has right derivatives', () => {
    const model = standoffModel(readings(0.12, [0.1, 0.2, 0.05], [0, 0.05, 0.1], earth));
    expect(largestDerivativeError(model, [20_000, 100, -47_000, 900, -700, 400, Math.log(0.2)])).toBeLessThan(1e-6);
  });

  it.each([
    ['east', 0.05],
    ['west', -0.05],
  ])('finds distance and deviation of iron that turns the compass %s', (side, y) => {
    const result = fitStandoff(readings(0.12, [0.02, y, 0.03], [0, 0.05, 0.1, 0.2], earth), { site, parallelRad: 0 });
    const iron = dipoleNt([0.02, y, 0.03], [0, 0, 0.12]);
    // beside a dipole the field is against its moment; board y is west when z is up and x is north, so a field toward +y turns the compass west
    const expected = -Math.atan2(iron[1], earth[0] + iron[0]);
    expect(Math.sign(expected)).toBe(side === 'east' ? 1 : -1);
    expect(result.distanceM).toBeCloseTo(0.12, 2);
    expect(result.deviationRad).toBeCloseTo(expected, 3);
    expect(result.strengthNt).toBeCloseTo(52_000, -2);
  });

  it('with two lengths says that the distance is a guess, with a wider sigma', () => {
    const iron: Vector3 = [0.02, 0.05, 0.03];
    const two = fitStandoff(readings(0.12, iron, [0, 0.08], earth));
    const four = fitStandoff(readings(0.12, iron, [0, 0.04, 0.08, 0.16], earth));
    expect(two.gates.some(({ verdict, reason }) => verdict === 'caution' && /two/.test(reason))).toBe(true);
    expect(two.sigmaLogDistance).toBeGreaterThan(3 * four.sigmaLogDistance);
    expect(two.sigmaDeviationRad).toBeGreaterThan(four.sigmaDeviationRad);
    expect(() => fitStandoff(readings(0.12, iron, [0.05, 0.05], earth))).toThrow(RangeError);
  });

  it('says when the place itself is bad', () => {
    const bent = fitStandoff(readings(0.12, [0, 0.01, 0], [0, 0.05, 0.1], [23_000, 0, -50_000]), {
      site,
      isTurningIronKnown: true,
    });
    expect(bent.accepted).toBe(false);
    expect(bent.gates.find(({ verdict }) => verdict === 'stop')?.reason).toMatch(/there is more iron nearby/);
  });

  it('refuses a swing of the board clipped on the other way round, whose iron is not what turns along now', () => {
    const made = readings(0.12, [0, 0.01, 0], [0, 0.05, 0.1], earth);
    const judged = (altitudeRad: number) =>
      fitStandoff(made, {
        site,
        isTurningIronKnown: true,
        swung: { axisInBoard: [Math.cos(0.7), 0, Math.sin(0.7)], altitudeRad },
      });
    expect(judged(0.75).accepted).toBe(true);
    const stop = decisive(judged(-0.7).gates);
    expect(stop).toMatchObject({ verdict: 'stop', limit: 20, reason: expect.stringMatching(/not sit in its clip/) });
    expect(stop?.value).toBeCloseTo(1.4 / degree, 6);
  });

  it('says by how much iron that is seen turns the compass at most, two sigmas and the deviation itself', () => {
    // mostly along the field's level part: it shows, but steers little
    const result = fitStandoff(readings(0.15, [-0.05, 0.001, 0.11], [0, 0.05, 0.1], earth), { site });
    expect(result.ironNt).toBeGreaterThan(20 * result.sigmaIronNt);
    expect(Math.abs(result.deviationRad)).toBeLessThan(2 * result.sigmaDeviationRad);
    const most = (Math.abs(result.deviationRad) + 2 * result.sigmaDeviationRad) / degree;
    const words = standoffWords(result).join(' ');
    expect(words).not.toMatch(/No iron/);
    expect(words).toContain(`${most.toFixed(2)} degrees at most`);
    const none = fitStandoff(readings(0.15, [0, 0, 0], [0, 0.05, 0.1], earth), { site });
    expect(standoffWords(none)[0]).toMatch(
      /No iron was found below the clip: the compass is turned by .* degrees at most/,
    );
  });

  it('sends one away from iron that steers the compass more than the Earth does', () => {
    const result = fitStandoff(readings(0.12, [-0.05, 0.72, 0.1], [0, 0.05, 0.1, 0.2], earth), { site });
    expect(Math.abs(result.deviationRad) / degree).toBeGreaterThan(20);
    const stop = result.gates.find(({ reason }) => /turns the compass/.test(reason))!;
    expect(stop).toMatchObject({ verdict: 'stop', limit: 5 });
    expect(stop.nextAction).toMatch(/clip the board elsewhere/);
    expect([...standoffWords(result), stop.nextAction].join(' ')).not.toMatch(/spacer of|add the deviation/);
  });

  it.each([
    [0.02, true, /or save the deviation with the site/],
    [0.06, false, /must not be saved with the site/],
  ])('advises to add the deviation only where it may be kept, iron %d', (moment, accepted, advice) => {
    const result = fitStandoff(readings(0.12, [0, moment, 0], [0, 0.05, 0.1, 0.2], earth), { site });
    expect(result.accepted).toBe(accepted);
    expect(result.gates.find(({ reason }) => /turns the compass/.test(reason))?.nextAction).toMatch(advice);
  });

  it('refuses spacers named in the wrong order, without a number', () => {
    const lengthsM = [0, 0.05, 0.1];
    const made = readings(0.12, [0.01, 0.02, 0.01], lengthsM, earth);
    const named = (order: readonly number[]) => made.map((reading, i) => ({ ...reading, spacerM: order[i] }));
    for (const order of [
      [0.1, 0.05, 0],
      [0.1, 0, 0.05],
    ]) {
      const result = fitStandoff(named(order), { site });
      expect(result).toMatchObject({ accepted: false, isTelling: false });
      expect(decisive(result.gates)?.nextAction).toMatch(/order in which you used them/);
      expect(standoffWords(result)).toEqual([]);
    }
    expect(fitStandoff(named(lengthsM), { site })).toMatchObject({ accepted: true, isTelling: true });
  });

  it('does not call a clip free of iron where the field is bent and the spacers changed nothing', () => {
    const made = readings(0.12, [0, 0, 0], [0, 0.05, 0.1], add(earth, [1500, 4000, 0]));
    const result = fitStandoff(made, { site });
    expect(decisive(result.gates)).toMatchObject({ verdict: 'stop', unit: 'sigmas', limit: 8 });
    expect(decisive(result.gates)?.nextAction).toMatch(/each spacer lifted the board/);
    expect(standoffWords(result)).toEqual([]);
    expect(fitStandoff(readings(0.12, [0, 0, 0], [0, 0.05, 0.1], earth), { site }).accepted).toBe(true);
  });

  it('says that readings with a sigma beyond all sense tell nothing', () => {
    const made = readings(0.12, [0, 0, 0], [0, 0.05, 0.1], earth);
    const noisy = made.map((reading) => ({ ...reading, sigmaFieldNt: 20_000 }));
    expect(standoffWords(fitStandoff(noisy))).toEqual([expect.stringMatching(/do not show whether iron/)]);
  });

  it('states a sigma that holds', () => {
    const random = new Random(11);
    let within = 0;
    let squares = 0;
    const runs = 300;
    for (let run = 0; run < runs; run += 1) {
      const distanceM = 0.15 * Math.exp(0.5 * random.normal());
      const moment = scale(random.direction(), 3000 / norm(dipoleNt([1, 0, 0], [0, 0, distanceM])));
      const parallelRad = 0.15 * degree;
      const made = readings(distanceM, moment, [0, 0.06, 0.12], earth).map((reading): SpacerReading => {
        const turn = parallelRad * random.normal();
        const [x, y, z] = add(reading.fieldNt, random.normal3(30));
        return { ...reading, fieldNt: [x - turn * y, y + turn * x, z] };
      });
      const { deviationRad, sigmaDeviationRad } = fitStandoff(made);
      const iron = dipoleNt(moment, [0, 0, distanceM]);
      const off = deviationRad + Math.atan2(iron[1], earth[0] + iron[0]);
      squares += (off / sigmaDeviationRad) ** 2 / runs;
      if (Math.abs(off) < 2 * sigmaDeviationRad) within += 1;
    }
    expect(within / runs).toBeGreaterThan(0.93);
    expect(squares).toBeGreaterThan(0.4);
  });
});
