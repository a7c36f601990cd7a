// What is done by day, from the page: the skyline traced with the board, and the azimuth by the shadow of a pin.
import { describe, expect, it, onTestFinished, vi } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { toNed } from '../../calibration/polarAxis.ts';
import { apply, transpose } from '../../calibration/vector.ts';
import { scenes } from '../../firmware-proto/virtual/scenes.ts';
import type { VirtualWorld } from '../../firmware-proto/virtual/world.ts';
import { isHidden } from '../../host/site/horizon.ts';
import type { Site } from '../../host/site/site.ts';
import { placeOf } from '../../host/sky/place.ts';
import { targetNamed } from '../../host/sky/target.ts';
import { rehearseFast } from '../../host/live/rehearseFast.ts';
import { loadSite } from '../../host/store/site.ts';
import { startPage } from '../../host/web/startPage.ts';
import { hasBrowser, laptop, openPage, phone, violations } from './browser.ts';
import { freshBrowser } from './freshBrowser.ts';
import { expectHonest } from './honest.ts';
import { openAtCable, openHurried } from './hurriedSession.ts';
import { stepOf } from './steps.ts';

/** Where the shadow of a pin on the face of the board falls, read to half a degree. */
function shadowDeg(world: VirtualWorld, site: Site, utc: Date): number {
  const { refractedAltitudeRad, azimuthRad } = placeOf(targetNamed('sun'), site, utc);
  const sun = toNed({ altitudeRad: refractedAltitudeRad, azimuthRad });
  const [x, y, z] = apply(transpose(world.pose.attitude), sun);
  expect(z, 'the Sun shines on the face').toBeGreaterThan(0.1);
  return Math.round((2 * Math.atan2(-y, -x)) / degree) / 2;
}

describe.skipIf(!hasBrowser)('a day with the page', () => {
  const browser = freshBrowser();

  it('traces the skyline of a scene, and reads the azimuth by the Sun, on the virtual mount', async () => {
    // a night there
    const startUtc = new Date('2026-12-09T13:00:00Z');
    const { session, world, hurry } = openHurried('woolshed', 3, 16, { isRehearsed: true, startUtc });
    const server = await startPage(session, { port: 0, show: () => {} });
    const { page, faults } = await openPage(browser(), server.url, phone);
    await page.locator('.bar button', { hasText: 'steps' }).click();

    const horizon = await stepOf(page, 'Horizon');
    await horizon.shows(/Say what hides the sky/);
    await horizon.fill('Hidden: from-to:altitude', 'none');
    await horizon.press('Keep what is typed');
    await horizon.shows(/Saved until the program ends/);
    await horizon.press('Trace it');
    await horizon.shows(/Point the board's x arrow/);
    await horizon.is('under-way');
    await horizon.press('Finish', 409);
    await horizon.shows(/Only \d+ percent of the horizon was swept/);
    await horizon.press('Give up');
    await horizon.press('Hands sweep the board');
    await horizon.shows(/Saved until the program ends/);
    const traced = await horizon.row.getByRole('textbox', { name: 'Hidden: from-to:altitude' }).inputValue();
    const sectors = traced.split(', ').map((text) => {
      const [from, to, altitude] = text.split(/[-:]/).map((part) => Number(part) * degree);
      return { fromAzimuthRad: from, toAzimuthRad: to, altitudeRad: altitude };
    });
    const tracedAt = (azimuthDeg: number, altitudeDeg: number): boolean =>
      isHidden(sectors, azimuthDeg * degree, altitudeDeg * degree);
    // The river gums (44°), the wool shed (37°), the water tank (15°), and the open sky between them.
    for (const [azimuthDeg, altitudeDeg] of [
      [150, 44],
      [190, 44],
      [225, 37],
      [90, 15],
    ]) {
      expect(tracedAt(azimuthDeg, altitudeDeg - 2), `${azimuthDeg}° in ${traced}`).toBe(true);
      expect(tracedAt(azimuthDeg, altitudeDeg + 6), `${azimuthDeg}° in ${traced}`).toBe(false);
    }
    for (const azimuthDeg of [2, 30, 60, 115, 262, 300, 340])
      expect(tracedAt(azimuthDeg, 6), `${azimuthDeg}° in ${traced}`).toBe(false);
    await horizon.press('Keep what is typed');
    expect(await violations(page)).toEqual([]);

    await world.hands.whenDone();
    hurry(2);
    const sun = await stepOf(page, 'Sun by shadow');
    expect((await sun.text()).indexOf('Never look at or near the Sun')).toBeLessThan(40);
    await sun.press('Hands turn the face level');
    await sun.shows(/The virtual Sun stands as at 2026-12-\d\d \d\d:\d\d UTC, whatever the hour now/);
    const { shadowRad, utc } = session.virtual!.pinShadow.see()!;
    expect(shadowDeg(world, session.site!, utc)).toBeCloseTo(shadowRad / degree, 0);
    const marks = await sun.row.locator('svg[aria-label^="The scale where"] text').allTextContents();
    const middle = ((Math.round(shadowRad / degree / 5) * 5 + 360) % 360).toString();
    expect(marks).toContain(middle);
    await sun.fill('Angle of the shadow, degrees', `${Math.round((shadowRad / degree) * 2) / 2 + 180}`);
    await sun.press('Read it now', 409);
    await sun.shows(/This shadow cannot be used|The shadow and the compass differ by 1\d\d°/);
    await sun.fill('Angle of the shadow, degrees', `${Math.round((shadowRad / degree) * 2) / 2}`);
    await sun.press('Read it now');
    await sun.shows(/Azimuth by the Sun\s.*give or take/);
    expect(await sun.text()).toMatch(/Compass against the Sun/);
    expect(await violations(page)).toEqual([]);
    await sun.press('Keep this deviation for the site', 409);
    await sun.shows(/No deviation is saved for an invented scene/);
    await expect.poll(() => session.latest()?.sigmaAzimuthErrorRad).toBeLessThan(0.8 * degree);
    expectHonest(session.latest(), world.truth());
    await (await stepOf(page, 'Answer of the night')).shows(/Sun by shadow, .* ago/);
    expect(faults.filter((fault) => !fault.includes('409'))).toEqual([]);
    await server.close();
    await session.close();
  });

  it('keeps the deviation that the Sun found with the site, and goes by it at once', async () => {
    // about ten on a winter's morning at the orchard: the Sun is low, so that one direction only fits its shadow
    vi.useFakeTimers({ toFake: ['Date'], now: new Date('2027-12-01T17:50:00Z'), shouldAdvanceTime: true });
    onTestFinished(() => void vi.useRealTimers());
    const { place } = scenes.orchard;
    const { session, world } = await openAtCable('orchard', 1, place, { seed: 6 });
    const server = await startPage(session, { port: 0, show: () => {} });
    const { page, faults } = await openPage(browser(), server.url, laptop);
    session.useAxisModel(rehearseFast('orchard', { seed: 6 }).swing.axisModel, 'Rehearsed.');

    const sun = await stepOf(page, 'Sun by shadow');
    await expect.poll(() => session.latest()?.state).toBe('still');
    await sun.fill('Angle of the shadow, degrees', `${shadowDeg(world, place, new Date())}`);
    await sun.press('Read it now');
    await sun.shows(/Compass against the Sun/);
    await sun.press('Keep this deviation for the site', 409);
    await sun.shows(/This is not the saved site/);

    const site = await stepOf(page, 'Site');
    await site.fill('Another position', `${place.latitudeRad / degree}, ${place.longitudeRad / degree}`);
    await site.press('Keep this position');
    const { variationRad } = world.modelled;
    await sun.press('Keep this deviation for the site');
    await sun.shows(/The compass is corrected by it from now on/);
    const { deviation } = (await loadSite())!;
    expect(deviation?.foundBy).toBe('the Sun');
    // What the scene has drawn beside the model, and what the scatter of the compass adds to it.
    const real = world.field.variationRad - variationRad;
    expect(Math.abs((deviation?.eastRad ?? NaN) - real)).toBeLessThan(2 * degree);
    expect(session.notes().join(' ')).toMatch(/deviation/);
    expect(faults.filter((fault) => !fault.includes('409'))).toEqual([]);
    await server.close();
    await session.close();
  });
});
