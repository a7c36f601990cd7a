import type { Page } from 'playwright-core';
import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { startPage, type PageServer } from '../../host/web/startPage.ts';
import { deflection, hasBrowser, inPage, laptop, openPage, phone, violations } from './browser.ts';
import { brightness } from './brightness.ts';
import { freshBrowser } from './freshBrowser.ts';
import { ScriptedSession } from './scriptedSession.ts';

const panelKeys = { steps: 's', trace: 't', sound: 'o', look: 'l', hands: 'h', more: '?' } as const;
const panels = Object.entries(panelKeys);
const parts = [
  'header',
  '.azimuth .face',
  '.azimuth .words',
  '.altitude .face',
  '.altitude .words',
  '.verdict',
  '.bar',
];

const sidewaysScroll = (page: Page): Promise<number> =>
  inPage(page, 'document.documentElement.scrollWidth - document.documentElement.clientWidth');
const sidesOf = (page: Page): Promise<{ left: number; top: number; right: number; bottom: number }[]> =>
  inPage(
    page,
    `${JSON.stringify(parts)}.map((part) => document.querySelector(part).getBoundingClientRect()).map(({ left, top, right, bottom }) => ({ left, top, right, bottom }))`,
  );

describe.skipIf(!hasBrowser)('the looks of the page', () => {
  const session = new ScriptedSession();
  const browser = freshBrowser();
  let server: PageServer;
  let page: Page;
  let faults: string[];
  beforeAll(async () => {
    // ten readings a second: every one is drawn, and drawing is what costs
    session.start(100);
    server = await startPage(session, { port: 0 });
    ({ page, faults } = await openPage(browser(), server.url));
  });
  beforeEach(() => page.setViewportSize(phone));
  afterAll(async () => {
    await server.close();
    await session.close();
  });

  it('obeys the keyboard alone: panels, looks, brightness, bolts, focus', async () => {
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
    await page.locator('.tick input').check();
    await page.locator('#panel').focus();
    await page.keyboard.press('Escape');
    await page.waitForSelector('.app.bare');
  });

  describe.each(['dark', 'day'] as const)('%s', (look) => {
    it('fits with every panel, and axe finds nothing', async () => {
      if (look === 'day') await page.keyboard.press('d');
      await page.waitForSelector(`html.${look}`);
      // the looks differ in their colours alone
      const rules = look === 'dark' ? 'all' : 'contrast';
      expect(await violations(page, rules)).toEqual([]);
      for (const [panel, key] of panels) {
        await page.keyboard.press(key);
        await page.waitForSelector(`.app.${panel}`);
        expect(await violations(page, rules, '#panel'), panel).toEqual([]);
        await expect.poll(() => sidewaysScroll(page), { message: panel }).toBeLessThanOrEqual(0);
        await page.keyboard.press('Escape');
        await page.waitForSelector('.app.bare');
      }
      await page.setViewportSize(laptop);
      await page.waitForSelector('.app.wide.steps');
      expect(await violations(page, rules), 'laptop').toEqual([]);
      expect(await sidewaysScroll(page), 'laptop').toBeLessThanOrEqual(0);
      if (look === 'day') await page.keyboard.press('d');
      await page.waitForSelector('html.dark');
      expect(faults).toEqual([]);
    });
  });

  it.each([
    ['phone', phone],
    ['laptop', laptop],
  ] as const)('needs no scrolling for the needles, and its targets are large: %s', async (name, size) => {
    await page.setViewportSize(size);
    await page.waitForSelector(`.app.${name === 'laptop' ? 'wide' : 'narrow'}`);
    const overflow = (): Promise<number> =>
      inPage(page, 'document.documentElement.scrollHeight - document.documentElement.clientHeight');
    await expect.poll(overflow).toBeLessThanOrEqual(0);
    for (const button of await page.locator('.bar button').all()) {
      const box = await button.boundingBox();
      expect(Math.min(box?.width ?? 0, box?.height ?? 0)).toBeGreaterThan(55);
    }
    const figure = await page.locator('.azimuth .figure').boundingBox();
    expect(figure?.height).toBeGreaterThan(38);
  });

  it('lays nothing over anything else at any size, turned around while it is open', async () => {
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
      const boxes = await sidesOf(page);
      for (const [index, one] of boxes.entries()) {
        for (const [other, two] of boxes.entries()) {
          if (other <= index) continue;
          const across = Math.min(one.right, two.right) - Math.max(one.left, two.left);
          const down = Math.min(one.bottom, two.bottom) - Math.max(one.top, two.top);
          const where = `${parts[index]} over ${parts[other]} at ${width} x ${height}`;
          expect(Math.min(across, down), where).toBeLessThanOrEqual(1);
        }
      }
      // a phone at 200 percent has room for the words only
      const isTiny = width < 331 && height < 540;
      for (const [index, { left, top, right, bottom }] of boxes.entries())
        if (!isTiny || !parts[index].includes('.face'))
          expect(Math.min((right - left) / 4, bottom - top), `${parts[index]} at ${width} x ${height}`).toBeGreaterThan(
            15,
          );
    }
  });

  it('swings no needle for those who asked for less motion', async () => {
    const seen = new Set<number>();
    session.azimuthErrorRad = -0.005;
    const until = performance.now() + 600;
    while (performance.now() < until) seen.add(await deflection(page, 'azimuth'));
    // Old place, new place: nothing in between. (NaN before the first frame.)
    expect([...seen].filter(Number.isFinite).length).toBeLessThanOrEqual(2);
  });

  it('does not chatter: a screen reader hears a reading at most every twenty seconds', async () => {
    await expect.poll(() => page.locator('[role=status]').textContent()).toContain('azimuth');
    await inPage(
      page,
      `globalThis.saidMs = []; new MutationObserver(() => saidMs.push(performance.now())).observe(document.querySelector('[role=status]'), { subtree: true, childList: true, characterData: true })`,
    );
    session.azimuthErrorRad = 0.02;
    await page.waitForTimeout(1500);
    const said = await inPage<number[]>(page, 'saidMs');
    // one may have been due just then
    expect(said.filter((ms, index) => index > 0 && ms - said[index - 1] < 19_000)).toEqual([]);
  });

  it('is one dim red on black in the dark: hardly any light, no green, no blue', async () => {
    const full = await brightness(page);
    expect(full.largestGreen).toBeLessThanOrEqual(24);
    expect(full.largestBlue).toBeLessThanOrEqual(24);
    expect(full.meanRed).toBeLessThan(255 * 0.08);
    for (let press = 0; press < 20; press += 1) await page.keyboard.press('-');
    const meanRed = async (): Promise<number> => (await brightness(page)).meanRed;
    await expect.poll(meanRed).toBeLessThan(full.meanRed * 0.4);
    expect(await meanRed()).toBeGreaterThan(0);
    await page.reload();
    await page.waitForSelector('.app[data-stale="false"]');
    expect(await meanRed()).toBeLessThan(full.meanRed * 0.5);
  });

  it('asks nobody but its own host for anything, and never flashes white: not while loading, not where there is nothing, not when the host is away', async () => {
    const own = await startPage(session, { port: 0 });
    const context = await browser().newContext({ viewport: phone });
    const visitor = await context.newPage();
    const asked: string[] = [];
    visitor.on('request', (request) => asked.push(request.url()));
    // Without style and script: what a slow network shows first.
    await visitor.route('**/*.{css,js}', (route) => route.abort());
    await visitor.goto(own.url);
    const early = await brightness(visitor);
    expect(Math.max(early.largestGreen, early.largestBlue)).toBeLessThan(40);
    await visitor.unroute('**/*.{css,js}');
    await visitor.goto(`${own.url}nothing/at/all`);
    expect((await brightness(visitor)).meanGreen).toBeLessThan(3);

    asked.length = 0;
    await visitor.goto(own.url);
    await visitor.waitForSelector('.app[data-stale="false"]');
    expect(asked.length).toBeGreaterThanOrEqual(4);
    expect(asked.filter((url) => !url.startsWith(own.url))).toEqual([]);
    await inPage(visitor, 'navigator.serviceWorker.ready.then(() => true)');
    await own.close();
    await visitor.reload();
    await visitor.waitForSelector('.app');
    expect((await brightness(visitor)).meanGreen).toBeLessThan(3);
    await expect.poll(() => visitor.textContent('.state')).toContain('host does not answer');
    await context.close();
  });
});
