// The page in each window that it is made for, and the view for a distance.
import type { Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import { arcminute, degree } from '../../calibration/angle.ts';
import { startPage, type PageServer } from '../../host/web/startPage.ts';
import { hasBrowser, inPage, openPage, violations } from './browser.ts';
import { freshBrowser } from './freshBrowser.ts';
import { arcmin, cutOff, glyphHeight, layouts, overlaps } from './layouts.ts';
import { ScriptedSession } from './scriptedSession.ts';

const readings = ['.state', '.azimuth .figure', '.azimuth .sure', '.altitude .figure', '.altitude .sure'];
/** The longest title that there is. */
const coming = { title: 'Next: turn the bolts by the needles.', reason: 'They show how far the axis is off.' };
/** What must not lie over one another. */
const parts = ['azimuth', 'altitude']
  .flatMap((axis) => ['.figure .size', '.arrow', '.way', '.sure', '.instruction'].map((part) => `.${axis} ${part}`))
  .concat('.verdict');
const all = [
  ...readings,
  'header .coming',
  '.azimuth .instruction',
  '.altitude .instruction',
  '.verdict',
  '.bar button',
];

describe.skipIf(!hasBrowser)('the layouts of the page', () => {
  const browser = freshBrowser();
  const session = new ScriptedSession();
  let server: PageServer;
  let page: Page;
  beforeAll(async () => {
    session.start(100);
    // the widest figures that are common
    session.azimuthErrorRad = -12.3 * degree;
    session.altitudeErrorRad = 10.7 * degree;
    session.sigmaAzimuthErrorRad = 0.3 * degree;
    session.sigmaAltitudeErrorRad = 0.15 * degree;
    server = await startPage(session, { port: 0, show: () => {}, coming });
    ({ page } = await openPage(browser(), server.url));
    page.setDefaultTimeout(20_000);
    // a browser takes seconds to fill the screen, so only one test lets it
    await inPage(
      page,
      'globalThis.fill = Element.prototype.requestFullscreen, Element.prototype.requestFullscreen = undefined, 0',
    );
  });
  afterAll(async () => {
    await server.close();
    await session.close();
  });

  afterEach(async () => {
    await page.keyboard.press('Escape');
    await page.keyboard.press('Escape');
  });

  /** The browser refuses while it is still on its way out of the full screen. */
  const resize = (width: number, height: number): Promise<void> =>
    expect
      .poll(() =>
        page.setViewportSize({ width, height }).then(
          () => true,
          () => false,
        ),
      )
      .toBe(true) as unknown as Promise<void>;

  it.each(layouts)('show all without scrolling: %s', async (name, width, height) => {
    await resize(width, height);
    await page.waitForSelector(`.app.${width >= 1000 ? 'wide' : 'narrow'}`);
    expect(await cutOff(page, name === 'phone at 200 percent' ? readings : all)).toEqual([]);
    await page.keyboard.press('s');
    await page.waitForSelector('#panel.steps');
    expect(await cutOff(page, readings), 'with the steps').toEqual([]);
    const sideways = (): Promise<number> =>
      inPage(page, 'document.documentElement.scrollWidth - document.documentElement.clientWidth');
    await expect.poll(sideways, { message: 'scrolls sideways' }).toBeLessThanOrEqual(0);
    if (name !== 'phone at 200 percent') {
      expect(await cutOff(page, ['.pinned button', '.bar button']), 'main button').toEqual([]);
      const belowTop = (): Promise<number> =>
        inPage<number>(
          page,
          `document.querySelector('.step [aria-expanded=true]').getBoundingClientRect().top - document.querySelector('#panel').getBoundingClientRect().top`,
        ).then(Math.abs);
      await expect.poll(belowTop, { message: 'opened at its heading' }).toBeLessThan(12);
    }
    const sidewaysInPanel =
      'document.querySelector("#panel").scrollWidth - document.querySelector("#panel").clientWidth';
    expect(await inPage(page, sidewaysInPanel), 'the panel scrolls sideways').toBeLessThanOrEqual(0);
    await page.keyboard.press('h');
    await page.waitForSelector('.app.hands');
    expect(await overlaps(page, [...parts, '.panel button']), 'with the hands').toEqual([]);
    await page.keyboard.press('Escape');
    await page.keyboard.press('f');
    for (const shown of ['far-both', 'far-azimuth', 'far-altitude']) {
      await page.waitForSelector(`.app.${shown}`);
      expect(await overlaps(page, parts), shown).toEqual([]);
      const unused =
        'document.documentElement.clientWidth - document.querySelector(".instruments").getBoundingClientRect().right';
      expect(await inPage(page, unused), `${shown}: room left at the right`).toBeLessThan(20);
      await page.keyboard.press('f');
    }
  });

  it('name the next step beside the readings, and above the steps with its reason', async () => {
    await resize(390, 844);
    await expect.poll(() => page.textContent('header .coming')).toBe(coming.title);
    await page.keyboard.press('s');
    await expect.poll(() => page.textContent('#panel .coming')).toBe(`${coming.title} ${coming.reason}`);
    expect(await page.locator('header .coming').count()).toBe(0);
  });

  it('are walked by keyboard alone: a step is opened, filled in and answered', async () => {
    await page.keyboard.press('s');
    const focused = (): Promise<string> =>
      inPage(
        page,
        `(({ activeElement: one }) => one.closest('button, input') ? (one.labels?.[0] ?? one).textContent : '')(document)`,
      );
    const tabTo = async (words: string): Promise<void> => {
      for (let press = 0; press < 80; press += 1) {
        if ((await focused()).includes(words)) return;
        await page.keyboard.press('Tab');
      }
      throw new Error(`"${words}" is not reached by the tabulator`);
    };
    await tabTo('Horizon');
    await page.keyboard.press('Enter');
    await tabTo('Hidden: from-to:altitude');
    await page.keyboard.type('120-180:20');
    await tabTo('Keep what is typed');
    await page.keyboard.press('Enter');
    await expect.poll(() => page.textContent('.step .open')).toContain('until the program ends');
  });

  it('pass axe in every state: moving, disturbed, off its clip, without a reading, near and far', async () => {
    const offClipRad = 45 * degree;
    const before = session.altitudeErrorRad;
    const look = async (state: string, selector: string): Promise<void> => {
      await page.waitForSelector(selector);
      expect(await violations(page, 'all', 'main'), state).toEqual([]);
      await page.keyboard.press('f');
      await page.waitForSelector('.app.far');
      expect(await violations(page, 'all', 'main'), `${state}, far`).toEqual([]);
      await page.keyboard.press('Escape');
    };
    session.state = 'moving';
    await look('moving', '.instruments.moving');
    session.state = 'disturbed';
    await look('disturbed', '.instruments.disturbed');
    session.state = 'still';
    session.sigmaAltitudeErrorRad = 40 * degree;
    await look('nothing known', '.altitude.unknown');
    session.sigmaAltitudeErrorRad = 0.15 * degree;
    session.altitudeErrorRad = offClipRad;
    await look('off its clip', '.instruments.stale.off');
    session.altitudeErrorRad = before;
    await page.waitForSelector('.instruments.still');
    session.kill();
    await look('no reading', '.instruments.stale:not(.off)');
    session.revive();
    await page.waitForSelector('.instruments:not(.stale)');
  });

  it('open the last step at its heading, too, with its main button in view', async () => {
    await resize(390, 844);
    await page.keyboard.press('s');
    await page.locator('.step:last-child .title').click();
    await page.waitForSelector('.step:last-child .pinned');
    expect(await cutOff(page, ['.step:last-child h3', '.pinned button'])).toEqual([]);
    await page.keyboard.press('Escape');
  });

  it.each([
    ['phone', 390, 844],
    ['phone, lying', 844, 390],
    ['tablet', 820, 1180],
    ['laptop', 1366, 768],
  ] as const)('can be read at two metres: %s', async (_name, width, height) => {
    await resize(width, height);
    await page.locator('.azimuth.reading .figure').click();
    await page.waitForSelector('.app.far-both');
    for (const axis of ['azimuth', 'altitude']) {
      expect(arcmin(await glyphHeight(page, `.${axis} .figure`)), axis).toBeGreaterThanOrEqual(20);
      const arrow = await page.locator(`.${axis} .arrow`).boundingBox();
      expect(arcmin(arrow?.height ?? 0), 'arrow').toBeGreaterThanOrEqual(20);
      expect(arcmin(await glyphHeight(page, `.${axis} .way`)), 'words').toBeGreaterThanOrEqual(7);
    }
    expect(arcmin(await glyphHeight(page, '.verdict')), 'sentence').toBeGreaterThanOrEqual(7);
    expect(await cutOff(page, ['.figure .size', '.arrow', '.way', '.sure', '.verdict'])).toEqual([]);
    await page.keyboard.press('Escape');
    await page.waitForSelector('.app:not(.far)');
  });

  it('lead by key and tap to both needles, to each alone, and back', async () => {
    await resize(390, 844);
    await inPage(page, 'Element.prototype.requestFullscreen = fill, 0');
    const isFilled = (): Promise<boolean> => inPage(page, 'document.fullscreenElement !== null');
    for (const shown of ['far-both', 'far-azimuth', 'far-altitude']) {
      await page.keyboard.press('f');
      await page.waitForSelector(`.app.${shown}`);
      await expect.poll(isFilled, { message: shown, timeout: 20_000 }).toBe(true);
      if (shown !== 'far-both') expect(await violations(page), shown).toEqual([]);
      expect(await cutOff(page, ['.figure .size', '.arrow', '.way', '.sure', '.verdict']), shown).toEqual([]);
    }
    await page.keyboard.press('f');
    await page.waitForSelector('.app:not(.far)');
    await expect.poll(isFilled, { timeout: 20_000 }).toBe(false);
    await inPage(page, 'Element.prototype.requestFullscreen = undefined, 0');
    await page.locator('.bar button', { hasText: 'far view' }).click();
    await page.locator('.altitude.reading .figure').click();
    await page.waitForSelector('.app.far-altitude');
    await page.getByRole('button', { name: 'back' }).click();
    await page.waitForSelector('.app:not(.far)');
  });

  it('tell at a distance which way to turn, as the dial is drawn, and go dim where nothing is left to do', async () => {
    await page.keyboard.press('f');
    const far = (axis: string): Promise<string> =>
      inPage(
        page,
        `[...document.querySelectorAll('.reading.${axis}')].map((one) => one.className + ' ' + one.querySelector('.figure .size').textContent + ' ' + (one.querySelector('.arrow')?.getAttribute('class') ?? 'none') + ' ' + one.querySelector('.way').textContent).join()`,
      );
    await expect.poll(() => far('azimuth')).toBe('reading azimuth 12.3° arrow right toward EAST');
    await expect.poll(() => far('altitude')).toBe('reading altitude 10.7° arrow down lower');
    session.azimuthErrorRad = 20 * arcminute;
    session.altitudeErrorRad = -0.5 * degree;
    session.sigmaAzimuthErrorRad = 22 * arcminute;
    await expect.poll(() => far('azimuth')).toBe('reading azimuth near 20′ none leave it');
    await expect.poll(() => far('altitude')).toBe('reading altitude 30′ arrow up raise');
    const inks = await inPage<string[]>(
      page,
      `['.azimuth .figure', '.altitude .figure', '.needle'].map((one) => { const style = getComputedStyle(document.querySelector(one)); return one === '.needle' ? style.fill : style.color; })`,
    );
    const levels = inks.map((ink) => Number(/\d+/.exec(ink)?.[0]));
    expect(levels[0], 'dim').toBeLessThan(0.8 * levels[1]);
    expect(levels[2], 'needle').toBeGreaterThanOrEqual(levels[1]);
    session.state = 'disturbed';
    await expect.poll(() => far('azimuth')).toContain('none unreliable');
    session.state = 'still';
    await page.keyboard.press('Escape');
  });

  it('lay the tolerance of the plan on the dial', async () => {
    const bar = (axis: string): Promise<string | null> => page.locator(`.dial.${axis} .allowed`).getAttribute('d');
    expect(await bar('azimuth')).toBeNull();
    const ask = (fields: Record<string, string>) =>
      fetch(`${server.url}api/steps/enough`, {
        method: 'POST',
        headers: { 'content-type': 'application/json' },
        body: JSON.stringify({ action: 'ask', fields }),
      });
    expect((await ask({ field: '50', minutes: '20' })).ok).toBe(true);
    await expect.poll(() => bar('azimuth')).toMatch(/^M/);
    const now = (await (await fetch(`${server.url}api/now`)).json()) as { messages: { allowed?: object }[] };
    const { allowed } = now.messages[0] as { allowed: Record<string, number> };
    // along the horizon more is allowed than on the sky, by the cosine of the latitude
    expect(allowed.altitudeErrorDeg / allowed.azimuthErrorDeg).toBeCloseTo(Math.cos(47 * degree), 6);
  });

  it.each([
    ['phone', 390, 844, false],
    ['phone, far', 390, 844, true],
    ['laptop', 1366, 768, false],
  ] as const)(
    'move nothing when readings go stale, beyond what the eye passes over (cumulative layout shift under 0.02): %s',
    async (_name, width, height, isFar) => {
      await resize(width, height);
      if (isFar) await page.keyboard.press('f');
      await page.waitForSelector(isFar ? '.app.far' : '.app:not(.far)');
      const shiftAtLoss = async (): Promise<number> => {
        await page.waitForTimeout(300);
        await inPage(
          page,
          `globalThis.shift = 0; globalThis.shifts?.disconnect(); globalThis.shifts = new PerformanceObserver((list) => list.getEntries().forEach((entry) => (shift += entry.value))); shifts.observe({ type: 'layout-shift' }), 0`,
        );
        session.kill();
        await page.waitForSelector('.instruments.stale');
        await page.waitForTimeout(300);
        const shift = await inPage<number>(page, 'shift');
        session.revive();
        await page.waitForSelector('.instruments:not(.stale)');
        return shift;
      };
      // on a busy machine the page may still be settling after the change of its size
      const most = 0.02;
      let least = Infinity;
      for (let tries = 0; tries < 3 && least >= most; tries += 1) least = Math.min(least, await shiftAtLoss());
      expect(least).toBeLessThan(most);
    },
  );

  it('tell the age of a reading only when it is late', async () => {
    expect(await page.textContent('.state')).toBe('still');
    // noted in the page itself, since a busy machine may look too late from outside
    await page.evaluate(`
      window.statesSeen = [];
      const note = () => window.statesSeen.push(document.querySelector('.state')?.textContent ?? '');
      new MutationObserver(note).observe(document.body, { subtree: true, childList: true, characterData: true });`);
    session.kill();
    await expect.poll(() => page.textContent('.state')).toMatch(/no reading/);
    const seen = new Set((await page.evaluate('window.statesSeen')) as string[]);
    expect([...seen].filter((text) => !/^(still|still, less than 1 s old|no reading for \d+ s)$/.test(text))).toEqual(
      [],
    );
    session.revive();
  });
});
