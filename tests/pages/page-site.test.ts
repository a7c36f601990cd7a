import { describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { scenes } from '../../firmware-proto/virtual/scenes.ts';
import type { Needles } from '../../host/live/session.ts';
import { fieldAt } from '../../host/site/field.ts';
import { findAxisModel } from '../../host/store/profile.ts';
import { loadSite } from '../../host/store/site.ts';
import { startPage } from '../../host/web/startPage.ts';
import { hasBrowser, openPage, phone, violations } from './browser.ts';
import { freshBrowser } from './freshBrowser.ts';
import { expectHonest, farOffSigmas, missesOf } from './honest.ts';
import { openAtCable } from './hurriedSession.ts';
import { stepOf } from './steps.ts';

const { place } = scenes.orchard;
/** Near enough for the dip to fit; the pole is 18′ too high there and the variation about a degree and a half off. */
const mistyped = {
  latitudeRad: place.latitudeRad + 0.3 * degree,
  longitudeRad: place.longitudeRad + 5.5 * degree,
  elevationM: 0,
};
const typed = `${place.latitudeRad / degree}, ${place.longitudeRad / degree}`;

describe.skipIf(!hasBrowser)('a site typed on the page, with a board at its cable', () => {
  const browser = freshBrowser();

  it('counts at once: pole, variation, swing and store; then a clip where nothing turns stands in for the swing', async () => {
    const { session, world } = await openAtCable('orchard', 16, mistyped, {
      seed: 11,
      clipAskewRad: 0,
      turningIronNt: 300,
    });
    const server = await startPage(session, { port: 0, show: () => {} });
    const { page, faults } = await openPage(browser(), server.url, phone);
    await page.locator('.bar button', { hasText: 'steps' }).click();
    const byPerson = async (work: () => void): Promise<void> => {
      work();
      await world.hands.whenDone();
    };
    const atRest = async (): Promise<Needles | undefined> => {
      await expect.poll(() => session.latest()?.state).toBe('still');
      return session.latest();
    };

    const tumble = await stepOf(page, 'Tumble');
    expect(await tumble.text()).toMatch(/This is board [0-9A-F]{8}/);
    await tumble.press('Start');
    await byPerson(() => world.hands.tumble());
    await tumble.press('Finish');
    await tumble.shows(/heading is uncertain by/);
    world.hands.clip();
    const swing = await stepOf(page, 'Swing');
    await swing.press('Start');
    await byPerson(() => world.hands.swing({ dwells: 10 }));
    await swing.press('Finish');
    await swing.shows(/The axis is found/);
    const wrongSwing = await swing.text();
    const wrong = await atRest();
    // the band is still closing when the needle comes to rest
    await expect.poll(() => missesOf(session.latest(), world.truth()).altitude).toBeGreaterThan(farOffSigmas);

    const site = await stepOf(page, 'Site');
    await site.shows(/Check that this is where the mount stands/);
    await site.fill('Another position', 'behind the shed');
    await site.press('Keep this position', 409);
    await site.shows(/does not read/);
    expect(await loadSite()).toBeUndefined();
    await site.fill('Another position', typed);
    await site.press('Keep this position');
    await site.shows(/The needles use it from now on/);
    await site.shows(new RegExp(`${(place.latitudeRad / degree).toFixed(2)}° high`));
    expect(await violations(page)).toEqual([]);

    expectHonest(await atRest(), world.truth());
    const variation = (where: typeof mistyped): number => fieldAt(where, new Date()).variationRad;
    const between = variation(place) - variation(mistyped);
    expect(Math.abs(between)).toBeGreaterThan(degree);
    // the filter has begun anew, so that noise is left for a while
    const turnedRad = (): number => (session.latest()?.azimuthErrorRad ?? NaN) - (wrong?.azimuthErrorRad ?? NaN);
    await expect.poll(() => Math.abs(turnedRad() - between)).toBeLessThan(0.3 * degree);
    expect(session.notes().join(' ')).toMatch(/recalculated for this site/);
    await expect.poll(swing.text).not.toBe(wrongSwing);
    const saved = await loadSite();
    expect(saved?.latitudeRad).toBeCloseTo(place.latitudeRad, 9);
    expect(await findAxisModel(session.hello()!, place)).toHaveProperty('model');

    await swing.press('Start on a fixed part');
    await swing.shows(/point the x arrow to the pole/);
    await byPerson(() => world.hands.rest(2.5));
    await swing.shows(/clip it on end for end/);
    await byPerson(() => world.hands.reverseClip());
    await swing.press('The board is end for end');
    await byPerson(() => world.hands.rest(2.5));
    await swing.press('Finish');
    await swing.shows(/The axis is found/);
    expect(await swing.text()).toMatch(/the angle from the seat/i);
    expect(await violations(page)).toEqual([]);
    const fixed = await atRest();
    expect(fixed?.sigmaAltitudeErrorRad).toBeGreaterThan(0.5 * degree);
    expectHonest(fixed, world.truth());
    expect(faults.filter((fault) => !fault.includes('409'))).toEqual([]);
    await server.close();
    await session.close();
  });
});
