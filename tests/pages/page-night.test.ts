import type { Page } from 'playwright-core';
import { describe, expect, it } from 'vitest';
import { arcminute } from '../../calibration/angle.ts';
import { startPage } from '../../host/web/startPage.ts';
import { hasBrowser, laptop, openPage, violations } from './browser.ts';
import { freshBrowser } from './freshBrowser.ts';
import { openHurried } from './hurriedSession.ts';

const stepLimitMs = 60_000;
const row = (page: Page, step: string) =>
  page.locator('li.step', { has: page.locator('.title', { hasText: new RegExp(`^${step}$`) }) });

async function open(page: Page, step: string) {
  const heading = row(page, step).locator('h3 button');
  if ((await heading.getAttribute('aria-expanded')) !== 'true') await heading.click();
  return row(page, step);
}

/** Presses a button of a step and waits until the step shows what it should. */
async function walk(page: Page, step: string, button: string, shown: RegExp): Promise<string> {
  const opened = await open(page, step);
  const answered = page.waitForResponse((reply) => reply.url().includes('/api/steps/'), { timeout: stepLimitMs });
  await opened.getByRole('button', { name: button, exact: true }).click();
  expect((await answered).status(), button).toBe(200);
  await expect.poll(() => opened.locator('.open').innerText(), { timeout: 3000 }).toMatch(shown);
  return opened.locator('.open').innerText();
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
    const rung = () => {
      const [needles, truth] = [session.latest(), world.truth()];
      const miss = (shown = NaN, real = NaN, sigma = NaN): number => Math.abs(shown - real) / sigma;
      expect(miss(needles?.azimuthErrorRad, truth.azimuthErrorRad, needles?.sigmaAzimuthErrorRad)).toBeLessThan(3.5);
      expect(miss(needles?.altitudeErrorRad, truth.altitudeErrorRad, needles?.sigmaAltitudeErrorRad)).toBeLessThan(3.5);
      return { sigmaArcmin: (needles?.sigmaAzimuthErrorRad ?? NaN) / arcminute, trueRad: truth.distanceRad };
    };
    const nudge = () => walk(page, 'Nudge', 'Hands nudge to zero', /Azimuth .*give or take/);

    const first = rung();
    await nudge();
    const compass = rung();
    expect(compass.trueRad).toBeLessThan(first.trueRad / 2);

    const sights = await open(page, 'Sights of stars');
    await sights.getByRole('button', { name: 'Start' }).click();
    await expect.poll(() => sights.locator('.open').innerText(), { timeout: stepLimitMs }).toMatch(/Centre \w+/);
    expect(await sights.locator('.drawing svg').getAttribute('aria-label')).toMatch(
      /hidden stretches; 0 stars taken; next/,
    );
    await sights.getByRole('button', { name: 'Give up' }).click();
    const taken = await walk(page, 'Sights of stars', 'Hands take 6 sights', /On the sky the axis is known to/);
    expect(taken).toMatch(/SIGHTS|Sights/i);
    await expect.poll(() => rung().sigmaArcmin, { timeout: stepLimitMs }).toBeLessThan(compass.sigmaArcmin / 2);
    expect(await violations(page)).toEqual([]);
    await nudge();
    const afterSights = rung();
    expect(afterSights.trueRad / arcminute).toBeLessThan(15);

    hurry(60);
    const drift = await walk(page, 'Drift of a star', 'Hands watch two stars, 10 minutes', /The needles show this/);
    hurry(16);
    expect(drift).toMatch(/″ a minute, give or take/);
    expect(await row(page, 'Drift of a star').locator('.drawing svg').count()).toBe(2);
    await expect.poll(() => rung().sigmaArcmin, { timeout: stepLimitMs }).toBeLessThan(6);
    expect(await violations(page)).toEqual([]);

    const answer = await (await open(page, 'Answer of the night')).locator('.open').innerText();
    expect(answer).toMatch(/Sights, .* ago/);
    expect(answer).toMatch(/Drift, .* ago/);
    expect(answer).toMatch(/Nudged/);
    expect(await violations(page)).toEqual([]);

    await (await open(page, 'Good enough\\?')).getByLabel('Field of the eyepiece').fill('50');
    await row(page, 'Good enough\\?').getByLabel('Minutes it should stay').fill('20');
    await walk(page, 'Good enough\\?', 'Is it good enough?', /chances? in 100/);
    expect(faults).toEqual([]);
    await server.close();
    await session.close();
  }, 150_000);
});
