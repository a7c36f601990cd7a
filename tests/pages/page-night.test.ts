import type { Page } from 'playwright-core';
import { describe, expect, it } from 'vitest';
import { arcminute } from '../../calibration/angle.ts';
import { startPage } from '../../host/web/startPage.ts';
import { hasBrowser, laptop, openPage, violations } from './browser.ts';
import { freshBrowser } from './freshBrowser.ts';
import { expectHonest } from './honest.ts';
import { openHurried } from './hurriedSession.ts';
import { stepOf } from './steps.ts';

/** Presses a button of a step and waits until the step shows what it should. */
async function walk(page: Page, title: string, button: string, shown: RegExp): Promise<string> {
  const step = await stepOf(page, title);
  await step.press(button);
  await step.shows(shown);
  return step.text();
}

describe.skipIf(!hasBrowser)('a whole night from the page, on the virtual mount', () => {
  const browser = freshBrowser();

  it('compass, nudge, sights, nudge, drift, verdict: each rung knows better how far off the axis is, and is right', async () => {
    const { session, world, hurry } = openHurried('orchard', 7, 16, {
      isRehearsed: true,
      startUtc: new Date('2027-01-15T04:00:00Z'),
    });
    const server = await startPage(session, { port: 0, show: () => {} });
    const { page, faults } = await openPage(browser(), server.url, laptop);
    const rung = async () => {
      await expect.poll(() => session.latest()?.state).toBe('still');
      const [needles, truth] = [session.latest(), world.truth()];
      expectHonest(needles, truth);
      return { sigmaArcmin: (needles?.sigmaAzimuthErrorRad ?? NaN) / arcminute, trueRad: truth.distanceRad };
    };
    const nudge = async () => {
      const step = await stepOf(page, 'Nudge');
      await step.press('Hands nudge to zero');
      await step.is('done');
      expect(await step.text()).toMatch(/Azimuth .*give or take/);
      await world.hands.whenDone();
    };

    const first = await rung();
    await nudge();
    const compass = await rung();
    expect(compass.trueRad).toBeLessThan(first.trueRad / 2);

    const sights = await stepOf(page, 'Sights of stars');
    await sights.press('Start');
    await sights.shows(/Centre \w+/);
    expect(await sights.row.locator('.drawing svg').getAttribute('aria-label')).toMatch(
      /hidden stretches; 0 stars taken; next/,
    );
    await sights.press('Give up');
    const taken = await walk(page, 'Sights of stars', 'Hands take 6 sights', /The axis is uncertain by .* on the sky/);
    expect(taken).toMatch(/SIGHTS|Sights/i);
    await expect.poll(async () => (await rung()).sigmaArcmin).toBeLessThan(compass.sigmaArcmin / 2);
    expect(await violations(page)).toEqual([]);
    await nudge();
    const afterSights = await rung();
    expect(afterSights.trueRad / arcminute).toBeLessThan(15);

    hurry(60);
    const drift = await walk(page, 'Drift of a star', 'Hands watch two stars, 10 minutes', /The needles show this/);
    hurry(16);
    expect(drift).toMatch(/″ a minute, give or take/);
    expect(await (await stepOf(page, 'Drift of a star')).row.locator('.drawing svg').count()).toBe(2);
    await expect.poll(async () => (await rung()).sigmaArcmin).toBeLessThan(6);
    expect(await violations(page)).toEqual([]);

    const answer = await (await stepOf(page, 'Answer of the night')).text();
    expect(answer).toMatch(/Sights, .* ago/);
    expect(answer).toMatch(/Drift, .* ago/);
    expect(answer).toMatch(/Nudged/);
    expect(await violations(page)).toEqual([]);

    const enough = await stepOf(page, 'Good enough\\?');
    await enough.fill('Field of the eyepiece', '50');
    await enough.fill('Minutes it should stay', '20');
    await enough.press('Is it good enough?');
    await enough.shows(/chances? in 100/);
    expect(faults).toEqual([]);
    await server.close();
    await session.close();
  });
});
