import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { startPage, type PageServer } from '../../host/web/startPage.ts';
import { deflection, hasBrowser, inPage, laptop, openPage, phone, violations } from './browser.ts';
import { brightness } from './brightness.ts';
import { freshBrowser } from './freshBrowser.ts';
import { ScriptedSession } from './scriptedSession.ts';

const sizes = [
  ['phone', phone],
  ['laptop', laptop],
] as const;
const panels = ['steps', 'trace', 'sound', 'look', 'hands'] as const;
const panelKeys = { steps: 's', trace: 't', sound: 'o', look: 'l', hands: 'h' } as const;

const sidewaysScroll = (page: Page): Promise<number> =>
  inPage(page, 'document.documentElement.scrollWidth - document.documentElement.clientWidth');

describe.skipIf(!hasBrowser)('the looks of the page', () => {
  const session = new ScriptedSession();
  const browser = freshBrowser();
  let server: PageServer;
  beforeAll(async () => {
    // ten readings a second: every one is drawn, and drawing is what costs
    session.start(100);
    server = await startPage(session, { port: 0 });
  });
  afterAll(async () => {
    await server.close();
    await session.close();
  });

  describe.each(sizes)('on a %s', (name, size) => {
    it.each(['dark', 'day'] as const)('%s: every panel fits and axe finds nothing', async (look) => {
      const { page, faults } = await openPage(browser(), server.url, size);
      if (look === 'day') await page.keyboard.press('d');
      await page.waitForSelector(`html.${look}`);
      await expect.poll(() => page.textContent('.azimuth .figure')).not.toBe('');
      expect(await violations(page)).toEqual([]);
      const isFull = (name === 'phone') === (look === 'dark');
      const looked = panels.filter((panel) => (isFull ? name === 'phone' || panel !== 'trace' : panel === 'steps'));
      for (const panel of looked) {
        await page.keyboard.press(panelKeys[panel]);
        await page.waitForSelector(`.app.${panel}`);
        expect(await violations(page), panel).toEqual([]);
        expect(await sidewaysScroll(page), panel).toBeLessThanOrEqual(0);
        await page.keyboard.press('Escape');
      }
      expect(faults).toEqual([]);
      await page.context().close();
    });

    it('needs no scrolling for the needles, and its targets are large', async () => {
      const { page } = await openPage(browser(), server.url, size);
      const overflow = await inPage<number>(
        page,
        'document.documentElement.scrollHeight - document.documentElement.clientHeight',
      );
      expect(overflow).toBeLessThanOrEqual(0);
      for (const button of await page.locator('.bar button').all()) {
        const box = await button.boundingBox();
        expect(Math.min(box?.width ?? 0, box?.height ?? 0)).toBeGreaterThan(55);
      }
      const figure = await page.locator('.azimuth .figure').boundingBox();
      expect(figure?.height).toBeGreaterThan(38);
      await page.context().close();
    });
  });

  it('is one dim red on black in the dark: hardly any light, no green, no blue', async () => {
    const { page } = await openPage(browser(), server.url);
    await expect.poll(() => page.textContent('.azimuth .figure')).not.toBe('');
    const full = brightness(await page.screenshot());
    expect(full.largestGreen).toBeLessThanOrEqual(24);
    expect(full.largestBlue).toBeLessThanOrEqual(24);
    expect(full.meanRed).toBeLessThan(255 * 0.08);
    for (let press = 0; press < 20; press += 1) await page.keyboard.press('-');
    const meanRed = async (): Promise<number> => brightness(await page.screenshot()).meanRed;
    await expect.poll(meanRed).toBeLessThan(full.meanRed * 0.4);
    expect(await meanRed()).toBeGreaterThan(0);
    await page.reload();
    await page.waitForSelector('.app[data-stale="false"]');
    expect(await meanRed()).toBeLessThan(full.meanRed * 0.5);
    await page.context().close();
  });

  it('never flashes white: not while loading, not where there is nothing, not when the host is away', async () => {
    const context = await browser().newContext({ viewport: phone });
    const page = await context.newPage();
    // Without style and script: what a slow network shows first.
    await page.route('**/*.{css,js}', (route) => route.abort());
    await page.goto(server.url);
    const early = brightness(await page.screenshot());
    expect(Math.max(early.largestGreen, early.largestBlue)).toBeLessThan(40);
    await page.unroute('**/*.{css,js}');
    await page.goto(server.url);
    await page.waitForSelector('.app[data-stale="false"]');
    await page.goto(`${server.url}nothing/at/all`);
    const missing = brightness(await page.screenshot());
    expect(missing.meanGreen).toBeLessThan(3);
    await context.close();

    const own = await startPage(session, { port: 0 });
    const { page: visitor } = await openPage(browser(), own.url);
    await inPage(visitor, 'navigator.serviceWorker.ready.then(() => true)');
    await own.close();
    await visitor.reload();
    await visitor.waitForSelector('.app');
    const away = brightness(await visitor.screenshot());
    expect(away.meanGreen).toBeLessThan(3);
    await expect.poll(() => visitor.textContent('.state')).toContain('host does not answer');
    await visitor.context().close();
  });

  it('asks nobody but its own host for anything', async () => {
    const context = await browser().newContext({ viewport: phone });
    const page = await context.newPage();
    const asked: string[] = [];
    page.on('request', (request) => asked.push(request.url()));
    await page.goto(server.url);
    await page.waitForSelector('.app[data-stale="false"]');
    expect(asked.length).toBeGreaterThanOrEqual(4);
    expect(asked.filter((url) => !url.startsWith(server.url))).toEqual([]);
    await context.close();
  });

  it('obeys the keyboard alone: panels, looks, brightness, bolts, focus', async () => {
    const { page } = await openPage(browser(), server.url);
    await page.keyboard.press('Tab');
    expect(await inPage(page, 'document.activeElement.textContent')).toBe('steps');
    await page.keyboard.press('Enter');
    await page.waitForSelector('.panel.steps');
    for (let press = 0; press < 5; press += 1) await page.keyboard.press('Tab');
    expect(await inPage(page, 'document.activeElement.closest("#panel") !== null')).toBe(true);
    await page.keyboard.press('Escape');
    await expect.poll(() => page.locator('.panel').count()).toBe(0);
    const before = session.turned.length;
    await page.keyboard.press('ArrowUp');
    await page.keyboard.press('ArrowLeft');
    await expect.poll(() => session.turned.length).toBe(before + 2);
    expect(session.turned.slice(before)).toEqual([
      { bolt: 'altitude', turns: 1 / 16 },
      { bolt: 'azimuth', turns: -1 / 16 },
    ]);
    await page.keyboard.press('l');
    await page.locator('.tick input').uncheck();
    await page.locator('#panel').focus();
    await page.keyboard.press('d');
    expect(await inPage(page, 'document.documentElement.className')).toBe('dark');
    await page.context().close();
  });

  it('can be zoomed to 200 percent: nothing is cut off sideways, all can be reached', async () => {
    for (const size of [phone, laptop]) {
      const half = { width: Math.round(size.width / 2), height: Math.round(size.height / 2) };
      const { page } = await openPage(browser(), server.url, half, { deviceScaleFactor: 2 });
      expect(await sidewaysScroll(page)).toBeLessThanOrEqual(0);
      await page.locator('.bar button').first().click();
      await page.waitForSelector('.panel.steps');
      expect(await sidewaysScroll(page)).toBeLessThanOrEqual(0);
      await page.context().close();
    }
  });

  it('lays nothing over anything else at any size, turned around while it is open', async () => {
    const { page } = await openPage(browser(), server.url);
    const parts = [
      'header',
      '.azimuth .face',
      '.azimuth .words',
      '.altitude .face',
      '.altitude .words',
      '.verdict',
      '.bar',
    ];
    for (const [width, height] of [
      [320, 568],
      [390, 844],
      [844, 390],
      [195, 422],
      [683, 384],
      [768, 1024],
      [1366, 768],
      [1920, 1080],
    ]) {
      await page.setViewportSize({ width, height });
      await page.waitForSelector(`.app.${width >= 1000 && height >= 500 ? 'wide' : 'narrow'}`);
      const boxes = await Promise.all(parts.map((part) => page.locator(part).first().boundingBox()));
      for (const [index, one] of boxes.entries()) {
        for (const [other, two] of boxes.entries()) {
          if (other <= index || !one || !two) continue;
          const across = Math.min(one.x + one.width, two.x + two.width) - Math.max(one.x, two.x);
          const down = Math.min(one.y + one.height, two.y + two.height) - Math.max(one.y, two.y);
          const where = `${parts[index]} over ${parts[other]} at ${width} x ${height}`;
          expect(Math.min(across, down), where).toBeLessThanOrEqual(1);
        }
      }
      // a phone at 200 percent has room for the words only
      const isTiny = width < 331 && height < 540;
      for (const [index, box] of boxes.entries())
        if (!isTiny || !parts[index].includes('.face'))
          expect(
            Math.min((box?.width ?? 0) / 4, box?.height ?? 0),
            `${parts[index]} at ${width} x ${height}`,
          ).toBeGreaterThan(15);
    }
    await page.context().close();
  });

  it('swings no needle for those who asked for less motion', async () => {
    const { page } = await openPage(browser(), server.url, phone, { reducedMotion: 'reduce' });
    const seen = new Set<number>();
    session.azimuthErrorRad = -0.005;
    const until = performance.now() + 600;
    while (performance.now() < until) seen.add(await deflection(page, 'azimuth'));
    // Old place, new place: nothing in between. (NaN before the first frame.)
    expect([...seen].filter(Number.isFinite).length).toBeLessThanOrEqual(2);
    await page.context().close();
  });

  it('does not chatter: a screen reader hears a reading at most every twenty seconds', async () => {
    const { page } = await openPage(browser(), server.url);
    await expect.poll(() => page.locator('[role=status]').textContent()).toContain('azimuth');
    const first = await page.locator('[role=status]').textContent();
    session.azimuthErrorRad = 0.02;
    await page.waitForTimeout(1500);
    expect(await page.locator('[role=status]').textContent()).toBe(first);
    await page.context().close();
  });
});
