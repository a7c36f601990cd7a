// The stand-off: which rest belongs to which spacer, and how what it found is kept from the page.
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { identity3 } from '../../calibration/vector.ts';
import { Random } from '../../firmware-proto/virtual/random.ts';
import { scenes } from '../../firmware-proto/virtual/scenes.ts';
import { fieldAt } from '../../host/site/field.ts';
import { rehearseFast } from '../../host/live/rehearseFast.ts';
import { StandoffStep } from '../../host/steps/standoffStep.ts';
import { findAxisModel } from '../../host/store/profile.ts';
import { loadSite, saveSite } from '../../host/store/site.ts';
import { Night } from '../../host/web/sheet/nightAtPage.ts';
import { StandoffSheet } from '../../host/web/sheet/standoffSheet.ts';
import { SwingSheet } from '../../host/web/sheet/swingSheet.ts';
import { openAtCable } from '../pages/hurriedSession.ts';

const plain = { bias: [0, 0, 0], matrix: identity3 } as const;
const noIron = { accelerometer: plain, magnetometer: plain };

/** A level board over iron 10 cm below it that draws the field 4000 nT toward east without a spacer (own formula: third power). */
class Bench {
  readonly step = new StandoffStep({ correction: noIron });
  private readonly random = new Random(5);
  private nowS = 0;

  rest(millimetres: number, seconds: number): void {
    const eastNt = 4000 * (0.1 / (0.1 + millimetres / 1000)) ** 3;
    for (let i = 0; i < seconds * 50; i += 1) {
      const [x, y, z] = this.random.normal3(0.001);
      this.offer([x, y, 1 + z], [20_000, -eastNt, -48_000]);
    }
  }

  carry(): void {
    for (let i = 0; i < 60; i += 1) this.offer([0.3 * Math.sin(i), 0.2 * Math.cos(2 * i), 1], [20_000, 0, -48_000]);
  }

  private offer(accelG: readonly [number, number, number], fieldNt: readonly [number, number, number]): void {
    this.nowS += 0.02;
    this.step.offer({ boardS: this.nowS, accelG, fieldNt });
  }
}

const spacersMm = [0, 50, 100];
const deviationDeg = Math.atan2(4000, 20_000) / degree;

describe('which rest belongs to which spacer', () => {
  it.each([
    ['at once', 0.2],
    ['long after it was put in place', 8],
  ])('the person may say %s that a spacer is in place', (_, lateS) => {
    const bench = new Bench();
    const { step } = bench;
    spacersMm.forEach((millimetres, i) => {
      if (i > 0) {
        bench.carry();
        bench.rest(millimetres, lateS);
      }
      step.onSpacer(millimetres);
      bench.rest(millimetres, 3);
    });
    expect(Math.abs(step.finish().deviationRad / degree) - deviationDeg).toBeCloseTo(0, 0);
  });

  it('who says it before the board was moved is told so, and nothing is lost', () => {
    const bench = new Bench();
    const { step } = bench;
    step.onSpacer(0);
    bench.rest(0, 4);
    expect(() => step.onSpacer(50)).toThrow(/has not moved yet/);
    bench.carry();
    step.onSpacer(50);
    bench.rest(50, 4);
    expect(() => step.onSpacer(100)).toThrow(/has not moved yet/);
    bench.carry();
    step.onSpacer(100);
    bench.rest(100, 4);
    expect(step.progress().spacersMm).toEqual([0, 50]);
    expect(Math.abs(step.finish().deviationRad / degree) - deviationDeg).toBeCloseTo(0, 0);
  });
});

describe('a board at its cable, by the page', () => {
  let home: string;
  const before = process.env.LODEPOLE_HOME;
  beforeEach(async () => {
    home = await mkdtemp(join(tmpdir(), 'lodepole-standoff-'));
    process.env.LODEPOLE_HOME = home;
  });
  afterEach(async () => {
    if (before === undefined) delete process.env.LODEPOLE_HOME;
    else process.env.LODEPOLE_HOME = before;
    await rm(home, { recursive: true });
  });
  const press = (action: string, fields: Record<string, string> = {}) => ({ action, fields });

  it('what the stand-off found is kept with the saved site and counted in; the swing goes to the mount and clip that were named', async () => {
    const seed = 6;
    const tripodIronNt = 900;
    const { place } = scenes.orchard;
    const { session, world } = await openAtCable('orchard', 16, place, { seed, tripodIronNt });
    const clipping = { mount: 'pier', clip: 'saddle' };
    Object.assign(session, { clipping });
    try {
      const night = new Night(session);
      const { calibration } = rehearseFast('orchard', { seed, tripodIronNt });
      night.calibration = calibration;
      const swing = new SwingSheet(night);
      world.hands.clip();
      await world.hands.whenDone();
      await swing.act(press('start'));
      world.hands.swing({ dwells: 10 });
      await world.hands.whenDone();
      await swing.act(press('finish'));
      expect(swing.view().status).toBe('done');
      const hello = session.hello!()!;
      expect(await findAxisModel(hello, place, clipping)).toHaveProperty('model');
      expect(await findAxisModel(hello, place)).toHaveProperty(
        'reason',
        expect.stringContaining('"pier" with "saddle"'),
      );

      const sheet = new StandoffSheet(night);
      await sheet.act(press('start'));
      for (const millimetres of [0, 60, 120]) {
        if (millimetres > 0) {
          world.hands.setSpacer(millimetres);
          await world.hands.whenDone();
          await sheet.act(press('spacer', { spacer: String(millimetres) }));
        }
        world.hands.rest(3);
        await world.hands.whenDone();
      }
      await sheet.act(press('finish'));
      expect(sheet.view().actions.map(({ name }) => name)).toContain('keep');
      await expect(sheet.act(press('keep', { stay: '120' }))).rejects.toThrow(/not the saved site/);

      await saveSite(place);
      await expect(sheet.act(press('keep', { stay: 'none' }))).rejects.toThrow(/not a spacer length/);
      await sheet.act(press('keep', { stay: '120' }));
      expect(sheet.view().next).toMatch(/A deviation of \d.*Leave the board on the spacer of 120 mm/);
      expect(sheet.view().actions.map(({ name }) => name)).not.toContain('keep');
      const { deviation } = (await loadSite())!;
      expect(deviation?.foundBy).toBe('a stand-off');
      const counted = fieldAt(session.site!, new Date()).variationRad - fieldAt(place, new Date()).variationRad;
      expect(counted).toBeCloseTo(deviation!.eastRad, 9);
    } finally {
      await session.close();
    }
  }, 40_000);
});
