import type { Page } from 'playwright-core';
import { describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { startPage, type PageServer } from '../../host/web/startPage.ts';
import { deflection, hasBrowser, openPage, phone, violations } from './browser.ts';
import { freshBrowser } from './freshBrowser.ts';
import { openHurried } from './hurriedSession.ts';

const stepLimitMs = 45_000;

/** Opens a step, presses a button in it and waits until the step says what it should. */
async function walk(page: Page, step: string, button: string, status: string): Promise<string> {
  const row = page.locator('li.step', { has: page.locator('.title', { hasText: new RegExp(`^${step}$`) }) });
  const heading = row.locator('h3 button');
  if ((await heading.getAttribute('aria-expanded')) !== 'true') await heading.click();
  await row.getByRole('button', { name: button }).click();
  await row.locator(':scope.under-way').waitFor({ timeout: 3000 });
  await page.locator(`li.step.${status}`, { hasText: step }).waitFor({ timeout: stepLimitMs });
  return row.locator('.open').innerText();
}

describe.skipIf(!hasBrowser)('the whole flow from the page, on the virtual board', () => {
  const browser = freshBrowser();

  it('tumble, level, swing, nudge, lock: the needles end near the truth and say how near', async () => {
    const { session, world, unplug } = openHurried('woolshed', 5, 16);
    const server: PageServer = await startPage(session, { port: 0, show: () => {} });
    const { page, faults } = await openPage(browser(), server.url, phone);
    await page.locator('.bar button', { hasText: 'steps' }).click();
    expect(await page.locator('h3 button[aria-expanded=true] .title').textContent()).toBe('Tumble');

    await page.locator('h3 button', { hasText: 'Swing' }).click();
    await page.getByRole('button', { name: 'Start' }).click();
    await expect.poll(() => page.locator('.fault').textContent()).toMatch(/not been calibrated yet/);

    const tumble = await walk(page, 'Tumble', 'Hands tumble the board', 'done');
    expect(tumble).toMatch(/Heading known to 0\.\d+°/);
    const offClip = page.waitForSelector('.verdict:has-text("off its clip")', { state: 'attached' });
    const level = await walk(page, 'Level', 'Hands do it', 'done');
    await offClip;
    expect(level).toMatch(/Tilt .*give or take/);
    const swing = await walk(page, 'Swing', 'Hands swing the axis', 'done');
    expect(swing).toMatch(/give or take/);
    expect(await page.locator('.drawing.pair svg').count()).toBe(2);
    expect(await violations(page)).toEqual([]);

    const standoff = await walk(page, 'Stand-off', 'Hands change the spacers', 'done');
    expect(standoff).toMatch(/Compass turned without a spacer\s.*give or take/);

    const before = world.truth();
    expect(before.distanceRad / degree).toBeGreaterThan(0.5);
    await walk(page, 'Nudge', 'Hands nudge to zero', 'done');
    const lock = await walk(page, 'Lock', 'Hands lock the bolts', 'done');
    expect(lock).toMatch(/Locking moved the axis/);

    const needles = session.latest();
    const truth = world.truth();
    const miss = (shown = NaN, real = NaN, sigma = NaN): number => Math.abs(shown - real) / sigma;
    expect(truth.distanceRad).toBeLessThan(before.distanceRad);
    expect(miss(needles?.azimuthErrorRad, truth.azimuthErrorRad, needles?.sigmaAzimuthErrorRad)).toBeLessThan(3);
    expect(miss(needles?.altitudeErrorRad, truth.altitudeErrorRad, needles?.sigmaAltitudeErrorRad)).toBeLessThan(3);
    expect(needles?.sigmaAzimuthErrorRad).toBeLessThan(0.8 * degree);

    const sights = await walk(page, 'Sights of stars', 'Hands take 6 sights', 'done');
    expect(sights).toMatch(/On the sky the axis is known to/);
    const sigmaDeg = (): number => (session.latest()?.sigmaAzimuthErrorRad ?? NaN) / degree;
    await expect.poll(sigmaDeg, { timeout: 10_000 }).toBeLessThan(0.25);
    const [known, real] = [session.latest(), world.truth()];
    expect(miss(known?.azimuthErrorRad, real.azimuthErrorRad, known?.sigmaAzimuthErrorRad)).toBeLessThan(3);
    expect(miss(known?.altitudeErrorRad, real.altitudeErrorRad, known?.sigmaAltitudeErrorRad)).toBeLessThan(3);

    const enough = page.locator('li.step', { hasText: 'Good enough?' });
    await enough.locator('h3 button').click();
    await enough.getByLabel('Field of the eyepiece').fill('50');
    await enough.getByLabel('Minutes it should stay').fill('20');
    await enough.getByRole('button', { name: 'Is it good enough?' }).click();
    await expect.poll(() => enough.locator('.how-sure').textContent()).toMatch(/chances? in 100/);

    // In the southern hemisphere one faces south: east is at the left, so a needle for "too far east" leans left.
    world.hands.unlock('azimuth');
    await world.hands.whenDone();
    await page.keyboard.press('Escape');
    await page.locator('.bar button', { hasText: 'hands' }).click();
    for (let press = 0; press < 16; press += 1) await page.keyboard.press('ArrowRight');
    await expect.poll(() => page.locator('.azimuth .figure').textContent(), { timeout: 8000 }).toMatch(/east/);
    await expect.poll(() => deflection(page, 'azimuth')).toBeLessThan(0);
    const unpluggedMs = performance.now();
    await unplug();
    await page.waitForSelector('.instruments.stale', { timeout: 5000 });
    expect(performance.now() - unpluggedMs).toBeLessThan(1500);
    expect(faults.filter((fault) => !fault.includes('409'))).toEqual([]);
    await server.close();
    await session.close();
  }, 120_000);
});
