import type { Page } from 'playwright-core';
import { degree } from '../../calibration/angle.ts';
import { startPage } from '../../host/web/startPage.ts';
import { hasBrowser, inPage, launch, openPage, phone } from '../pages/browser.ts';
import { arcmin, glyphHeight, layouts } from '../pages/layouts.ts';
import { decodePng } from '../pages/png.ts';
import { ScriptedSession } from '../pages/scriptedSession.ts';
import { lightOf, linear } from './light.ts';

const settings = [0, 0.35, 0.75, 1];

const shown = (pixels: number | undefined): string => (pixels === undefined ? '-' : arcmin(pixels).toFixed(1));

/** Height of what an element's box shows, the least of all that are there. */
const leastBox = (page: Page, selector: string, side: 'height' | 'width' | 'both'): Promise<number | undefined> =>
  inPage(
    page,
    `(() => {
      const boxes = [...document.querySelectorAll(${JSON.stringify(selector)})].map((one) => one.getBoundingClientRect()).filter(({ width }) => width > 0);
      const sizes = boxes.map(({ width, height }) => ({ width, height, both: Math.min(width, height) })[${JSON.stringify(side)}]);
      return sizes.length > 0 ? Math.min(...sizes) : undefined;
    })()`,
  );
/** Capitals are 0.73 of a line of text in a drawing (DejaVu Sans, as measured by `glyphHeight`). */
const labelHeight = (page: Page): Promise<number | undefined> =>
  inPage(
    page,
    `(() => {
      const labels = [...document.querySelectorAll('.dial text')].filter((one) => one.getBoundingClientRect().width > 0);
      const sizes = labels.map((one) => 0.73 * parseFloat(getComputedStyle(one).fontSize) * one.getScreenCTM().a);
      return sizes.length > 0 ? Math.min(...sizes) : undefined;
    })()`,
  );

async function leastOf(page: Page, ...selectors: string[]): Promise<number | undefined> {
  const heights: number[] = [];
  for (const selector of selectors)
    if (await leastBox(page, selector, 'height')) heights.push(await glyphHeight(page, selector));
  return heights.length > 0 ? Math.min(...heights) : undefined;
}

async function sizes(page: Page): Promise<void> {
  const rows: Record<string, unknown>[] = [];
  for (const [name, width, height] of layouts) {
    await page.setViewportSize({ width, height });
    for (const view of ['near', 'far'] as const) {
      if (view === 'far') {
        await page.keyboard.press('f');
        await page.waitForSelector('.app.far');
      }
      await page.waitForTimeout(200);
      rows.push({
        layout: `${name} ${width}x${height}`,
        view,
        figure: shown(await leastOf(page, '.azimuth .figure', '.altitude .figure')),
        arrow: shown(await leastBox(page, '.arrow', 'height')),
        sentence: shown(await leastOf(page, '.verdict')),
        'which way': shown(
          await leastOf(page, '.azimuth .way, .azimuth .instruction', '.altitude .way, .altitude .instruction'),
        ),
        'give or take': shown(await leastOf(page, '.azimuth .sure', '.altitude .sure')),
        label: shown(await labelHeight(page)),
        'smallest target px': (await leastBox(page, 'button, a, input', 'both'))?.toFixed(0),
      });
      if (view === 'far') await page.keyboard.press('Escape');
    }
  }
  console.log(
    'Heights of figures and capitals in arcminutes at 2 m, a pixel taken as 0.178 mm; asked of far on 390x844: 20, 20, 7:',
  );
  console.table(rows);
}

async function contrasts(page: Page): Promise<void> {
  const rows: Record<string, unknown>[] = [];
  for (const look of ['dark', 'day'] as const) {
    for (const setting of look === 'dark' ? settings : [0.75]) {
      await choose(page, look, setting);
      const inks = await inPage<Record<string, string>>(
        page,
        `(() => { const probe = document.body.appendChild(document.createElement('i')); const read = (name) => { probe.style.color = 'var(--' + name + ')'; return getComputedStyle(probe).color; }; const all = Object.fromEntries(['ground', 'print', 'label', 'figure', 'line', 'stale', 'band'].map((name) => [name, read(name)])); probe.remove(); return all; })()`,
      );
      const luminance = (ink: string): number => {
        const [r, g, b] = (ink.match(/\d+/g) ?? []).map((level) => linear(Number(level)));
        return 0.2126 * r + 0.7152 * g + 0.0722 * b;
      };
      const ground = luminance(inks.ground);
      const against = (name: string): string => {
        const [low, high] = [ground, luminance(inks[name])].sort((a, b) => a - b);
        return ((high + 0.05) / (low + 0.05)).toFixed(2);
      };
      rows.push({
        look,
        brightness: look === 'dark' ? setting : '-',
        ...Object.fromEntries(
          ['print', 'label', 'figure', 'line', 'stale', 'band'].map((name) => [name, against(name)]),
        ),
      });
    }
  }
  console.log(
    'Contrast against the ground (WCAG 2.2: 4.5 for print and labels, 3 for figures and lines, at the first brightness 0.75):',
  );
  console.table(rows);
}

async function choose(page: Page, look: 'dark' | 'day', setting: number): Promise<void> {
  await inPage(
    page,
    `localStorage.setItem('lodepole-choices', JSON.stringify({ look: '${look}', brightness: ${setting} }))`,
  );
  await page.reload();
  await page.waitForSelector('.app');
  await page.waitForTimeout(600);
}

async function light(page: Page, session: ScriptedSession): Promise<void> {
  const rows: Record<string, unknown>[] = [];
  for (const look of ['dark', 'day'] as const) {
    for (const setting of look === 'dark' ? settings : [0.75]) {
      await choose(page, look, setting);
      await page.waitForSelector('.app[data-stale="false"]');
      for (const state of ['live', 'far', 'stale'] as const) {
        if (state === 'far') await page.keyboard.press('f');
        if (state === 'stale') {
          await page.keyboard.press('Escape');
          session.kill();
          await page.waitForSelector('.instruments.stale');
        }
        await page.waitForTimeout(300);
        rows.push({
          look,
          brightness: look === 'dark' ? setting : '-',
          state,
          ...lightOf(decodePng(await page.screenshot())),
        });
      }
      session.revive();
    }
  }
  console.log(
    'Light of the phone, of a white screen = 1 (photopic) and = 1 (rods): sRGB by IEC 61966-2-1; rods by the approximation of scotopic\n' +
      'luminance from XYZ in Ward Larson, Rushmeier and Piatko, IEEE TVCG 3(4), 1997 (formula from memory; real screens differ):',
  );
  console.table(rows);
}

export async function run(): Promise<void> {
  if (!hasBrowser) return;
  const session = new ScriptedSession().start(50);
  session.azimuthErrorRad = -12.3 * degree;
  session.altitudeErrorRad = 10.7 * degree;
  session.sigmaAzimuthErrorRad = 0.3 * degree;
  session.sigmaAltitudeErrorRad = 0.15 * degree;
  const server = await startPage(session, { port: 0, show: () => {} });
  const browser = await launch();
  try {
    const { page } = await openPage(browser, server.url);
    await sizes(page);
    await page.setViewportSize(phone);
    await contrasts(page);
    await light(page, session);
  } finally {
    await browser.close();
    await server.close();
    await session.close();
  }
}
