import { describe, expect, it } from 'vitest';
import { arcminute, degree } from '../../calibration/angle.ts';
import type { NightEntry } from '../../host/night/nightEntry.ts';
import { stepView } from '../../host/web/messages.ts';
import { Night } from '../../host/web/sheet/nightAtPage.ts';
import { nightSteps } from '../../host/web/sheet/nightSteps.ts';
import { Sheet } from '../../host/web/sheet/sheet.ts';
import { openHurried } from './hurriedSession.ts';

/** A virtual mount that stands off by some arcminutes, of which a drift told with errors of its own. */
async function atDusk(scene: 'orchard' | 'woolshed', startUtc: string) {
  const { session, world, hurry } = openHurried(scene, 5, 20, { isRehearsed: true, startUtc: new Date(startUtc) });
  const night = new Night(session);
  const sheet = new Sheet(nightSteps(night));
  await night.atRest();
  const { altitudeErrorRad, azimuthErrorRad } = world.truth();
  const turn = (bolt: 'altitude' | 'azimuth', errorRad: number, leave: number): void =>
    void world.hands.turnBolt(bolt, (leave * arcminute - errorRad) / world.mount[bolt].make.radPerTurn);
  turn('altitude', altitudeErrorRad, 9);
  turn('azimuth', azimuthErrorRad, -13);
  await world.hands.whenDone();
  await night.atRest();
  const truth = world.truth();
  await night.believe({
    kind: 'drift',
    altitudeErrorRad: truth.altitudeErrorRad + 0.7 * arcminute,
    azimuthErrorRad: truth.azimuthErrorRad - 0.9 * arcminute,
    axisCovariance: [(0.9 * arcminute) ** 2, 0, 0, (1.2 * arcminute) ** 2],
  });
  const view = (step = 'starNudge') => stepView.parse(sheet.message().steps.find(({ name }) => name === step));
  const act = (action: string, fields: Record<string, string> = {}, step = 'starNudge'): Promise<void> =>
    sheet.act(step, { action, fields });
  /** What the bolts bite by, truly, while `work` locks them. */
  const shiftOf = async (work: () => Promise<void>) => {
    const before = world.truth();
    await work();
    const after = world.truth();
    return {
      altitudeRad: after.altitudeErrorRad - before.altitudeErrorRad,
      azimuthRad: after.azimuthErrorRad - before.azimuthErrorRad,
    };
  };
  return { session, world, night, view, act, hurry, shiftOf };
}

/** The last entry of the log is a locking that was read on a star, and holds the true shift within 4.5 of its sigmas. */
function expectLocked(entry: NightEntry | undefined, truth: { altitudeRad: number; azimuthRad: number }): void {
  if (entry?.kind !== 'nudge') throw new Error(`no locking, but ${entry?.kind}`);
  expect(entry).toMatchObject({ by: 'locking', words: expect.stringMatching(/Measured on \w+.* in the eyepiece/) });
  const { sigmaAltitudeShiftDeg = NaN, sigmaAzimuthShiftDeg = NaN } = entry;
  expect(Math.abs(entry.altitudeShiftDeg - truth.altitudeRad / degree)).toBeLessThan(4.5 * sigmaAltitudeShiftDeg);
  expect(Math.abs(entry.azimuthShiftDeg - truth.azimuthRad / degree)).toBeLessThan(4.5 * sigmaAzimuthShiftDeg);
  // the needles alone tell 3
  expect(sigmaAzimuthShiftDeg * 60).toBeLessThan(2.8);
}

describe('the step of the page that nudges on a star', () => {
  it.each([
    ['orchard', '2027-01-15T04:00:00Z'],
    ['woolshed', '2027-01-15T11:00:00Z'],
  ] as const)(
    'in %s tells where the star must stand, and hands that see it alone bring the axis home',
    async (scene, start) => {
      const { session, world, night, view, act, shiftOf } = await atDusk(scene, start);
      const told = view();
      expect(told.cautions.join()).toMatch(/fingers/);
      expect(told.toDo.join(' ')).toMatch(/Turn the altitude bolt until .* o'clock/);
      expect(told.drawing).toMatchObject({ kind: 'field', radius: 20, mirrored: false });
      const before = world.truth().distanceRad;
      await act('hands');
      expect(view().status).toBe('done');
      const truth = world.truth();
      expect(truth.distanceRad).toBeLessThan(before / 2);
      const last = night.carried.log.entries.at(-1);
      expect(last).toMatchObject({ kind: 'nudge', by: 'star' });
      const answer = night.carried.answer()!;
      const [altitude, , , azimuth] = answer.axisCovariance;
      expect(Math.abs(answer.altitudeErrorRad - truth.altitudeErrorRad)).toBeLessThan(3.5 * Math.sqrt(altitude));
      expect(Math.abs(answer.azimuthErrorRad - truth.azimuthErrorRad)).toBeLessThan(3.5 * Math.sqrt(azimuth));
      expect(Math.sqrt(azimuth)).toBeLessThan(2.8 * arcminute);

      // the star is still in the eyepiece: locking goes on from where it stands
      const star = last?.kind === 'nudge' ? /on (.*) in the/.exec(last.words ?? '')?.[1] : undefined;
      expect(view('lock').actions.slice(0, 2)).toEqual([
        { name: 'star', label: `Watch ${star} meanwhile` },
        { name: 'hands-star', label: `Hands lock while they watch ${star}`, byHands: true },
      ]);
      const bitten = await shiftOf(() => act('hands-star', {}, 'lock'));
      expectLocked(night.carried.log.entries.at(-1), bitten);
      expect(night.carried.log.entries.at(-1)).toMatchObject({ goesOn: true });
      expect(view('lock')).toMatchObject({ status: 'done', drawing: { kind: 'shift' } });
      expect(world.mount.isLocked).toBe(true);
      const { axisCovariance } = night.carried.answer()!;
      expect(axisCovariance[3], 'the reading between is not counted twice').toBeLessThan(1.2 * azimuth);
      // once it is told, the star is let go
      expect(view('lock').actions.map(({ label }) => label)).toContain('Watch a star meanwhile');
      await session.close();
    },
    60_000,
  );

  it('lets a person turn the bolts by what the drawn field shows, and type where the star stands', async () => {
    const { session, world, night, view, act, shiftOf } = await atDusk('orchard', '2027-01-15T04:00:00Z');
    expect(view().fields.map(({ name }) => name)).toEqual(['star', 'field', 'picture']);
    await act('show', { field: '60', picture: 'mirrored' });
    expect(view().drawing).toMatchObject({ kind: 'field', radius: 30, mirrored: true });
    await act('hands-centre');
    const drawn = () => {
      const { drawing } = view();
      if (drawing?.kind !== 'field' || !drawing.star) throw new Error('no star in the field');
      return { star: drawing.star, home: drawing.places[1] };
    };
    // a reading of a field of 60 is good to 1.5
    expect(Math.hypot(drawn().star.north, drawn().star.east)).toBeLessThan(8);
    const { altitudeErrorRad, azimuthErrorRad } = world.truth();
    session.virtual?.turnBolt('altitude', -altitudeErrorRad / world.mount.altitude.make.radPerTurn);
    session.virtual?.turnBolt('azimuth', -azimuthErrorRad / world.mount.azimuth.make.radPerTurn);
    await new Promise((resolve) => setTimeout(resolve, 500));
    await night.atRest();
    const { star, home } = drawn();
    expect(Math.hypot(star.north - home.north, star.east - home.east)).toBeLessThan(12);
    await expect(act('read', { north: 'left', east: '2' })).rejects.toThrow(/not a place/);
    await act('read', { north: String(star.north), east: String(star.east) });
    const answer = night.carried.answer()!;
    const truth = world.truth();
    expect(Math.abs(answer.azimuthErrorRad - truth.azimuthErrorRad)).toBeLessThan(
      3.5 * Math.sqrt(answer.axisCovariance[3]),
    );

    // what was done since may have moved the telescope: the star is centred anew
    await night.carried.log.note('Looked at something else.');
    await act('star', {}, 'lock');
    expect(view('lock').toDo[0]).toMatch(/^Centre a star with the drive running/);
    await act('cancel', {}, 'lock');
    await act('star', {}, 'lock');
    await act('hands-centre', { star: '', field: '30', picture: 'mirrored' }, 'lock');
    expect(view('lock')).toMatchObject({ status: 'under way', drawing: { radius: 15, mirrored: true } });
    expect(view('lock').toDo.join(' ')).not.toContain('where the nudge left it');
    await expect(act('tight', {}, 'lock')).rejects.toThrow(/is missing/);
    const bitten = await shiftOf(() => act('hands-tighten', {}, 'lock'));
    const { drawing } = view('lock');
    if (drawing?.kind !== 'field' || !drawing.star) throw new Error('no star in the field');
    await act('tight', { north: String(drawing.star.north), east: String(drawing.star.east) }, 'lock');
    expectLocked(night.carried.log.entries.at(-1), bitten);
    expect(night.carried.log.entries.at(-1)).not.toHaveProperty('goesOn');
    await session.close();
  }, 60_000);

  it('asks for a measurement on the sky first, and advises no nudge that brings the axis no nearer', async () => {
    const { session, world, night, view } = await atDusk('orchard', '2027-01-15T04:00:00Z');
    await night.carried.giveUp('Again.');
    const blind = new Sheet(nightSteps(new Night(session))).message().steps.find(({ name }) => name === 'starNudge')!;
    expect(blind.toDo[0]).toMatch(/not measured on the sky/);
    expect(blind.actions).toEqual([]);
    await night.believe({
      kind: 'drift',
      altitudeErrorRad: 0.5 * arcminute,
      azimuthErrorRad: -0.4 * arcminute,
      axisCovariance: [(0.9 * arcminute) ** 2, 0, 0, (1.2 * arcminute) ** 2],
    });
    await new Promise((resolve) => setTimeout(resolve, 5200));
    expect(view().toDo.join(' ')).toMatch(/Leave the bolts/);
    expect(world.hands.busy()).toBe(false);
    await session.close();
  }, 60_000);
});
