import type { Page } from 'playwright-core';
import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { arcminute, degree } from '../../calibration/angle.ts';
import { startPage, type PageServer } from '../../host/web/startPage.ts';
import { patience, quickest } from '../job/patience.ts';
import { deflection, hasBrowser, inPage, openPage } from './browser.ts';
import { freshBrowser } from './freshBrowser.ts';
import { ScriptedSession } from './scriptedSession.ts';

const halfArcDeg = 46;
const { altitudeErrorRad, azimuthErrorRad, sigmaAzimuthErrorRad, state } = new ScriptedSession();
const asFirst = { altitudeErrorRad, azimuthErrorRad, sigmaAzimuthErrorRad, state };
/** From the moment that a reading is none any more. */
const staleLimitMs = 1500;
const backLimitMs = 2000;
const dashes = (page: Page): Promise<string> =>
  inPage(page, 'getComputedStyle(document.querySelector(".dial.azimuth .needle")).strokeDasharray');

describe.skipIf(!hasBrowser)('the needles of the page', () => {
  const browser = freshBrowser();
  const session = new ScriptedSession();
  let server: PageServer;
  let page: Page;
  let faults: string[];
  beforeAll(async () => {
    session.start(50);
    server = await startPage(session, { port: 0 });
    ({ page, faults } = await openPage(browser(), server.url));
    await inPage(page, 'globalThis.neverReloaded = true');
  });
  beforeEach(async () => {
    Object.assign(session, asFirst);
    await expect.poll(() => page.textContent('.azimuth .figure')).toBe('41′ east');
  });
  afterAll(async () => {
    await server.close();
    await session.close();
  });

  it('follow the errors on the scale that is shown', async () => {
    await expect.poll(() => deflection(page, 'azimuth')).toBeCloseTo((41 / 60) * halfArcDeg, 0);
    session.azimuthErrorRad = -20 * arcminute;
    session.altitudeErrorRad = 2 * arcminute;
    await expect.poll(() => deflection(page, 'azimuth')).toBeCloseTo((-20 / 60) * halfArcDeg, 0);
    // Upright dials count anticlockwise: too high turns the needle up, which is against the clock.
    await expect.poll(() => deflection(page, 'altitude')).toBeCloseTo((-2 / 5) * halfArcDeg, 0);
    await expect.poll(() => page.textContent('.azimuth .figure')).toBe('20′ west');
    await expect.poll(() => page.textContent('.altitude .figure')).toBe('2′ high');
    await expect.poll(() => page.textContent('.altitude .instruction')).toBe('Lower the axis 2′.');
    expect(faults).toEqual([]);
  });

  it('change the scale in steps, wider at once and finer after a while', async () => {
    const lastLabel = (): Promise<string | null> => page.locator('.dial.azimuth .marks text').last().textContent();
    await expect.poll(lastLabel).toBe('60′');
    session.azimuthErrorRad = 7 * degree;
    // how soon is the law of the scale, which tests/pages/page-words.test.ts goes through
    await expect.poll(lastLabel).toBe('10°');
    await expect.poll(() => page.textContent('.azimuth .figure')).toMatch(/^7\.0° east$/);
    session.azimuthErrorRad = 3 * arcminute;
    session.sigmaAzimuthErrorRad = 1.5 * arcminute;
    await expect.poll(lastLabel).toBe('5′');
  });

  it('grey and dash within 1.5 s of a dead board, and come back without a reload', async () => {
    let backMs = Infinity;
    const staleMs = await quickest(staleLimitMs, async () => {
      session.kill();
      const killedMs = performance.now();
      await page.waitForSelector('.instruments.stale');
      const tookMs = performance.now() - killedMs;
      await expect.poll(() => page.textContent('.azimuth .figure')).toBe('no reading');
      expect(await dashes(page)).not.toBe('none');
      await expect.poll(() => page.textContent('.verdict')).toContain('Plug it in again');
      session.revive();
      const revivedMs = performance.now();
      await page.waitForSelector('.instruments:not(.stale)');
      backMs = Math.min(backMs, performance.now() - revivedMs);
      expect(await dashes(page)).toBe('none');
      return tookMs;
    });
    expect(staleMs).toBeLessThan(staleLimitMs);
    expect(backMs).toBeLessThan(backLimitMs * patience());
    expect(await inPage(page, 'globalThis.neverReloaded')).toBe(true);
  });

  it('grey and dash within 1.5 s of a dead host, and come back without a reload', async () => {
    const { port } = server;
    const staleMs = await quickest(staleLimitMs, async () => {
      const killedMs = performance.now();
      await server.close();
      await page.waitForSelector('.instruments.stale');
      const tookMs = performance.now() - killedMs;
      await expect.poll(() => page.textContent('.state')).toContain('host does not answer');
      server = await startPage(session, { port });
      await page.waitForSelector('.instruments:not(.stale)');
      await expect.poll(() => page.textContent('.azimuth .figure')).toBe('41′ east');
      return tookMs;
    });
    expect(staleMs).toBeLessThan(staleLimitMs);
    expect(await inPage(page, 'globalThis.neverReloaded')).toBe(true);
  });

  it('say when the field is disturbed, and let nobody believe the azimuth', async () => {
    session.state = 'disturbed';
    await page.waitForSelector('.instruments.disturbed');
    await expect.poll(() => page.textContent('.verdict')).toContain('Iron is near');
    await expect.poll(() => page.textContent('.azimuth .instruction')).toMatch(/^Do not trust the azimuth/);
  });

  it('show no axis while the board is off its clip, and come back with it', async () => {
    const figure = (): Promise<string | null> => page.textContent('.altitude .figure');
    await expect.poll(figure).toBe('3′ low');
    session.altitudeErrorRad = -39 * degree;
    await expect.poll(figure).toBe('no reading');
    await expect.poll(() => page.textContent('.verdict')).toContain('off its clip');
    await expect.poll(() => page.textContent('.state')).toContain('off its clip');
    expect(await page.textContent('.instruments')).not.toMatch(/Raise|toward/);
    await expect.poll(() => dashes(page)).not.toBe('none');
    session.altitudeErrorRad = 0.5 * degree;
    await expect.poll(figure).toBe('30′ high');
    await expect.poll(() => dashes(page)).toBe('none');
  });

  it('are heard: higher for east, lower for west, steady within what is known, silent without a reading', async () => {
    const tone = (): Promise<string> => inPage(page, 'document.documentElement.dataset.tone ?? ""');
    await expect.poll(tone).toBe('silent');
    await page.keyboard.press('m');
    await expect.poll(async () => Number.parseFloat(await tone())).toBeGreaterThan(450);
    session.azimuthErrorRad = -2 * degree;
    await expect.poll(async () => Number.parseFloat(await tone())).toBeLessThan(430);
    session.azimuthErrorRad = 5 * arcminute;
    await expect.poll(tone).toBe('440.0 Hz 0.00/s');
    session.kill();
    await expect.poll(tone).toBe('silent');
  });
});
