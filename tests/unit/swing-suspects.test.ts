// What a refused swing names as its cause, from worlds in which one thing at a time is wrong.
import { describe, expect, it } from 'vitest';
import { decisive } from '../../calibration/gate.ts';
import { DwellFinder } from '../../calibration/swing/dwell.ts';
import type { Dwell } from '../../calibration/swing/types.ts';
import { fitTumble } from '../../calibration/tumble/fit.ts';
import { createWorld } from '../../firmware-proto/virtual/world.ts';
import { swingSamples, tumbleSamples } from '../../firmware-proto/virtual/worldSamples.ts';
import { swingSite } from '../../host/site/swingSite.ts';
import { fitFaces } from '../../host/steps/swingStep.ts';

const date = new Date('2026-11-25T12:00:00Z');
const mirrored = (dwells: readonly Dwell[], key: 'accelG' | 'fieldNt', axis: number): Dwell[] =>
  dwells.map((dwell) => ({ ...dwell, [key]: dwell[key].map((part, i) => (i === axis ? -part : part)) }));

describe.each([
  ['orchard', 2],
  ['woolshed', 1],
  ['woolshed', 3],
] as const)('a swing in %s, seed %i', (scene, seed) => {
  const world = createWorld(scene, { seed, date, tripodIronNt: 60 });
  const { place } = world.scene;
  const site = swingSite(place, date);
  const { calibration } = fitTumble(
    tumbleSamples(world, { samples: 1500 }).map(({ timeS, ...sample }) => ({ ...sample, boardS: timeS })),
    { site },
  );
  const swung = (): readonly Dwell[] => {
    const finder = new DwellFinder();
    for (const { timeS, ...sample } of swingSamples(world, { hz: 50 })) finder.offer({ ...sample, boardS: timeS });
    finder.close();
    return finder.dwells;
  };
  const dwells = swung();
  const judged = (faces: readonly Dwell[], at = site) => fitFaces([faces], calibration!, { site: at });

  it('is accepted when nothing is wrong', () => expect(judged(dwells).accepted).toBe(true));

  it('suspects the latitude where it has the wrong sign, and nothing that moved', () => {
    const { gates, accepted } = judged(dwells, swingSite({ ...place, latitudeRad: -place.latitudeRad }, date));
    expect(accepted).toBe(false);
    expect(decisive(gates)?.nextAction).toMatch(/latitude north or south/);
    expect(
      gates
        .filter(({ verdict }) => verdict === 'stop')
        .map((gate) => gate.nextAction)
        .join(' '),
    ).not.toMatch(/moved|Move/);
  });

  it.each([
    ['accelG', 1, 'y'],
    ['accelG', 2, 'z'],
    ['fieldNt', 1, 'y'],
    ['fieldNt', 2, 'z'],
  ] as const)('suspects a mirrored axis, %s %i', (key, axis, name) => {
    const { gates, accepted } = judged(mirrored(dwells, key, axis));
    expect(accepted).toBe(false);
    const first = decisive(gates);
    expect(first?.reason).toMatch(
      new RegExp(`most likely ${name} of the ${key === 'accelG' ? 'accelerometer' : 'magnetometer'}`),
    );
    expect(first?.nextAction).toMatch(/right-handed/);
    expect(
      gates
        .filter(({ verdict }) => verdict === 'stop')
        .map((gate) => gate.nextAction)
        .join(' '),
    ).not.toMatch(/moved/);
  });

  it('says that something moved when the mount was knocked half-way', () => {
    world.advanceTo(world.hands.bump(0.03));
    const knocked = [...dwells.slice(0, 6), ...swung().slice(6)];
    const { gates, accepted } = judged(knocked);
    expect(accepted).toBe(false);
    const said = gates
      .filter(({ verdict }) => verdict === 'stop')
      .map(({ reason, nextAction }) => `${reason} ${nextAction}`)
      .join(' ');
    expect(said).toMatch(/moved/);
    expect(said).not.toMatch(/wrong way|latitude/);
  });
});
