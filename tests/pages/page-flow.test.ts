import type { Page } from 'playwright-core';
import { describe, expect, it } from 'vitest';
import { arcminute, degree } from '../../calibration/angle.ts';
import { startPage, type PageServer } from '../../host/web/startPage.ts';
import { deflection, hasBrowser, openPage, phone, violations } from './browser.ts';
import { freshBrowser } from './freshBrowser.ts';
import { expectHonest } from './honest.ts';
import { openHurried } from './hurriedSession.ts';
import { stepOf } from './steps.ts';

/** Lets the virtual hands do a step to its end, once more where it is refused, as a person would; returns what it says then. */
async function byHands(page: Page, title: string, button: string): Promise<string> {
  const step = await stepOf(page, title);
  await step.press(button);
  await step.row.and(page.locator('.done, .refused')).waitFor({ timeout: 75_000 });
  const said = await step.text();
  if (!(await step.row.and(page.locator('.refused')).isVisible())) return said;
  console.log(`${title} was refused: ${said}`);
  await step.press(button);
  await step.is('done');
  return step.text();
}

/** The shift of one axis as the page tells it, which must hold the true one within 4.5 of its sigmas. */
function shiftTold(text: string, axis: 'Altitude' | 'Azimuth', trueRad: number): { shiftRad: number; bandRad: number } {
  const told = new RegExp(
    `${axis} moved\\s([\\d.]+)([′°]) (high|low|east|west|off), give or take ([\\d.]+)([′°])`,
  ).exec(text);
  if (!told) throw new Error(`no shift of ${axis} in: ${text}`);
  const [, size, unit, side, band, bandUnit] = told;
  const inRad = (number: string, of: string): number => Number(number) * (of === '°' ? degree : arcminute);
  expect(side === 'off', `only a shift of nothing has no side: ${told[0]}`).toBe(Number(size) === 0);
  const shiftRad = inRad(size, unit) * (side === 'high' || side === 'east' ? 1 : -1);
  const bandRad = inRad(band, bandUnit);
  expect(Math.abs(shiftRad - trueRad), `${axis}: ${told[0]}`).toBeLessThan((4.5 / 2) * bandRad);
  return { shiftRad: Math.abs(shiftRad), bandRad };
}

describe.skipIf(!hasBrowser)('the whole flow from the page, on the virtual board', () => {
  const browser = freshBrowser();

  it('tumble, level, swing, nudge, lock: the needles end near the truth and say how near', async () => {
    const { session, world, unplug } = openHurried('woolshed', 5, 16, {
      startUtc: new Date('2027-01-15T11:00:00Z'),
    });
    const server: PageServer = await startPage(session, { port: 0, show: () => {} });
    const { page, faults } = await openPage(browser(), server.url, phone);
    await page.locator('.bar button', { hasText: 'steps' }).click();
    expect(await page.locator('h3 button[aria-expanded=true] .title').textContent()).toBe('Tumble');

    const early = await stepOf(page, 'Swing');
    await early.press('Start', 409);
    await expect.poll(() => page.locator('.fault').textContent()).toMatch(/not been calibrated yet/);

    const tumble = await byHands(page, 'Tumble', 'Hands tumble the board');
    expect(tumble).toMatch(/heading is uncertain by 0\.\d+°/);
    const byPerson = await stepOf(page, 'Level');
    await byPerson.press('Start');
    await byPerson.is('under-way');
    await page.waitForSelector('.verdict:has-text("off its clip")', { state: 'attached' });
    await byPerson.press('Give up');
    const level = await byHands(page, 'Level', 'Hands turn the board');
    expect(level).toMatch(/Tilt .*give or take/);
    const swing = await byHands(page, 'Swing', 'Hands swing the axis');
    expect(swing).toMatch(/give or take/);
    expect(await page.locator('.drawing.pair svg').count()).toBe(2);
    expect(await violations(page)).toEqual([]);

    const standoff = await byHands(page, 'Stand-off', 'Hands change the spacers');
    expect(standoff).toMatch(/Compass error without a spacer\s.*give or take/);

    const before = world.truth();
    expect(before.distanceRad / degree).toBeGreaterThan(0.5);
    await byHands(page, 'Nudge', 'Hands nudge to zero');
    const loose = world.truth();
    const lock = await byHands(page, 'Lock', 'Hands lock the bolts');
    const tight = world.truth();
    const altitude = shiftTold(lock, 'Altitude', tight.altitudeErrorRad - loose.altitudeErrorRad);
    const azimuth = shiftTold(lock, 'Azimuth', tight.azimuthErrorRad - loose.azimuthErrorRad);
    const shifts = [altitude, azimuth];
    // both numbers are rounded where they are told, and may then be alike
    if (/Locking moved the axis/.test(lock)) expect(shifts.some((of) => of.shiftRad >= of.bandRad)).toBe(true);
    else {
      expect(lock).toMatch(/Locking: no measurable shift/);
      expect(shifts.every((of) => of.shiftRad <= of.bandRad)).toBe(true);
    }

    expect(world.truth().distanceRad).toBeLessThan(before.distanceRad);
    expectHonest(session.latest(), world.truth());
    const sigmaDeg = (): number => (session.latest()?.sigmaAzimuthErrorRad ?? NaN) / degree;
    await expect.poll(sigmaDeg).toBeLessThan(0.8);

    const sights = await byHands(page, 'Sights of stars', 'Hands take 6 sights');
    expect(sights).toMatch(/The axis is uncertain by .* on the sky/);
    await expect.poll(sigmaDeg).toBeLessThan(0.25);
    expectHonest(session.latest(), world.truth());

    const enough = await stepOf(page, 'Good enough\\?');
    await enough.fill('Field of the eyepiece', '50');
    await enough.fill('Minutes the star should stay', '20');
    await enough.press('Is it good enough?');
    await enough.shows(/chances? in 100/);

    // In the southern hemisphere one faces south: east is at the left, so a needle for "too far east" leans left.
    world.hands.unlock('azimuth');
    await world.hands.whenDone();
    await page.keyboard.press('Escape');
    await page.locator('.bar button', { hasText: 'more' }).click();
    await page.locator('#panel button', { hasText: 'hands' }).click();
    for (let press = 0; press < 16; press += 1) await page.keyboard.press('ArrowRight');
    await expect.poll(() => page.locator('.azimuth .figure').textContent()).toMatch(/east/);
    await expect.poll(() => deflection(page, 'azimuth')).toBeLessThan(0);
    await unplug();
    await page.waitForSelector('.instruments.stale');
    expect(faults.filter((fault) => !fault.includes('409'))).toEqual([]);
    await server.close();
    await session.close();
  });
});
