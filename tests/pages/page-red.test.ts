// In the dark every pixel is pure red, and none is brighter than the print of the live page, whatever the page shows.
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import type { Drawing } from '../../host/web/messages.ts';
import { startPage, type PageServer } from '../../host/web/startPage.ts';
import { brightness } from './brightness.ts';
import { hasBrowser, inPage, phone } from './browser.ts';
import { freshBrowser } from './freshBrowser.ts';
import { sheetOf } from './madeSheet.ts';
import { ScriptedSession } from './scriptedSession.ts';

const settings = [0, 0.35, 1] as const;
/** What a screen reader's ring, a scroll bar's edge or the smoothing of letters may round up to. */
const rounding = 1;

const drawings: Drawing[] = [
  {
    kind: 'sphere',
    cells: [
      { direction: [0.9, 0.1, 0.4], isCovered: true },
      { direction: [-0.5, 0.8, -0.3], isCovered: false },
    ],
    upNow: [0.3, -0.2, 0.9],
    upNext: [0.1, 0.9, -0.4],
  },
  {
    kind: 'circles',
    circles: [{ label: 'gravity', points: [[0.9, 0.2]], fit: { centre: [0.1, 0], radius: 1 } }],
  },
  {
    kind: 'shift',
    unit: '′',
    rows: [{ label: 'azimuth', ends: ['east', 'west'], isReversed: true, before: 7, after: 3, sigma: 1 }],
  },
  {
    kind: 'lines',
    across: 'minutes',
    up: '″ north',
    down: '″ south',
    lines: [
      {
        label: 'Vega',
        points: [
          [0, 0],
          [3, 5],
        ],
        fit: { through: [1.5, 2.4], slope: 1.6, sigmaSlope: 0.3 },
      },
    ],
  },
  {
    kind: 'skyline',
    hidden: [{ fromAzimuthDeg: 330, toAzimuthDeg: 60, altitudeDeg: 40 }],
    stars: [{ label: 'Vega', azimuthDeg: 200, altitudeDeg: 50, mark: 'next' }],
  },
  {
    kind: 'field',
    radius: 30,
    mirrored: true,
    places: [{ label: 'leave it here', north: 4, east: -11, sigma: 2 }],
    star: { north: 9, east: 3 },
  },
  { kind: 'shadow', shadowDeg: 37 },
  {
    kind: 'rig',
    shiftMm: 21,
    travelMm: [-60, 90],
    shaftEndMm: 340,
    parts: [{ label: 'tube', massKg: 4.2, alongMm: 70, outMm: 120 }],
    weights: [{ massKg: 5, atMm: 210 }],
  },
];

describe.skipIf(!hasBrowser)('the dark look', () => {
  const browser = freshBrowser();
  const session = new ScriptedSession();
  let server: PageServer;
  beforeAll(async () => {
    session.start(50);
    server = await startPage(session, { port: 0, show: () => {} });
  });
  afterAll(async () => {
    await server.close();
    await session.close();
  });

  /** A page into which messages can be put as if the host had sent them. */
  async function openHearing(): Promise<Page> {
    const context = await browser().newContext({ viewport: phone, serviceWorkers: 'block' });
    const page = await context.newPage();
    await page.addInitScript(
      `globalThis.streams = [];
       const Plain = EventSource;
       globalThis.EventSource = class extends Plain { constructor(path) { super(path); streams.push(this); } };
       globalThis.EventSource.CLOSED = 2;`,
    );
    await page.goto(server.url);
    await page.waitForSelector('.app[data-stale="false"]');
    return page;
  }
  const say = (page: Page, message: unknown): Promise<void> =>
    inPage(page, `streams.at(-1).onmessage({ data: ${JSON.stringify(JSON.stringify(message))} })`);
  const ask = (step: string, request: unknown): Promise<Response> =>
    fetch(`${server.url}api/steps/${step}`, {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify(request),
    });
  /** The inks of the page as it starts at a brightness. */
  async function inksAt(page: Page, setting: number): Promise<string> {
    await inPage(page, `localStorage.setItem('lodepole-choices', '{ "brightness": ${setting} }')`);
    await page.reload();
    await page.waitForSelector('.app[data-stale="false"]');
    return inPage(page, 'document.documentElement.style.cssText');
  }

  it('is pure red at every brightness, in every state, panel, drawing, selection and error', async () => {
    const page = await openHearing();
    const wrong: string[] = [];
    const inks: string[] = [];
    for (const setting of settings) inks.push(await inksAt(page, setting));
    expect(new Set(inks).size, 'inks').toBe(settings.length);
    const limits: number[] = [];
    const look = async (what: string): Promise<void> => {
      for (const [index, setting] of settings.entries()) {
        await inPage(page, `document.documentElement.style.cssText = ${JSON.stringify(inks[index])}`);
        const { largestRed, largestGreen, largestBlue } = await brightness(page);
        limits[index] ??= largestRed;
        const where = `${what}, brightness ${setting}`;
        if (largestGreen + largestBlue > 0) wrong.push(`${where}: green ${largestGreen}, blue ${largestBlue}`);
        if (largestRed > limits[index] + rounding) wrong.push(`${where}: red ${largestRed} over ${limits[index]}`);
      }
    };
    session.azimuthErrorRad = 0.7 * degree;
    await look('needles');
    expect(limits[0]).toBeGreaterThan(40);
    expect(limits).toEqual([...new Set(limits)].sort((a, b) => a - b));
    await page.keyboard.press('Tab');
    await look('focus on a button');
    await page.locator('.bar button').first().hover();
    await page.mouse.down();
    await look('a button, held down');
    await page.mouse.up();
    await page.keyboard.press('Escape');
    for (const panel of ['t', 'o', 'l', 'h', '?']) {
      await page.keyboard.press(panel);
      await page.waitForSelector('#panel');
      await page.keyboard.press('Control+A');
      await look(`panel ${panel}, all selected`);
      await page.keyboard.press('Escape');
    }
    for (const [panel, control] of [
      ['l', 'range'],
      ['h', 'checkbox'],
    ]) {
      await page.keyboard.press(panel);
      await page.locator(`#panel input[type=${control}]`).focus();
      await look(`focus on a ${control}`);
      await page.locator('#panel').focus();
      await page.keyboard.press('Escape');
    }
    await ask('enough', { action: 'ask', fields: { field: '50', minutes: '20' } });
    await page.waitForSelector('.dial.azimuth .allowed[d]');
    await look('the tolerance of the plan');
    await page.keyboard.press('f');
    await page.waitForSelector('.app.far');
    await look('far view');
    session.sigmaAzimuthErrorRad = 80 * degree;
    await page.waitForSelector('.reading.unknown');
    await look('far view, nothing known');
    session.sigmaAzimuthErrorRad = 0.4 * degree;
    await page.waitForSelector('.reading:not(.unknown)');
    await page.keyboard.press('Escape');
    await page.keyboard.press('s');
    await page.locator('.title', { hasText: 'Site' }).click();
    await page.getByRole('textbox', { name: 'Elevation' }).fill('350 m');
    await page.keyboard.press('Control+A');
    await look('an entry, selected');
    await page.locator('.title', { hasText: 'Good enough' }).click();
    await page.locator('#entry-exposure').fill('long');
    await page.getByRole('button', { name: 'Is it good enough?' }).click();
    await page.waitForSelector('.fault');
    await page.locator('.fault').hover();
    await look('a refused step, scrolled');
    for (const drawing of drawings) {
      await say(page, sheetOf(drawing));
      if (drawing === drawings[0]) await page.locator('.title', { hasText: 'Tumble' }).click();
      await page.waitForSelector('.drawing svg');
      await look(`drawing of ${drawing.kind}`);
    }
    await page.keyboard.press('Escape');
    session.state = 'disturbed';
    await page.waitForSelector('.instruments.disturbed');
    await look('disturbed');
    session.state = 'still';
    session.altitudeErrorRad = 45 * degree;
    await page.waitForSelector('.instruments.stale');
    await look('off its clip');
    session.altitudeErrorRad = 0.1 * degree;
    await page.waitForSelector('.instruments:not(.stale)');
    session.kill();
    await page.waitForSelector('.instruments.stale');
    await look('board lost');
    await page.keyboard.press('s');
    await page.waitForSelector('#panel.steps');
    await look('board lost, steps');
    session.revive();
    await page.keyboard.press('Escape');
    await page.context().setOffline(true);
    await inPage(page, 'streams.at(-1).close()');
    await expect.poll(() => page.textContent('.state')).toContain('host does not answer');
    await look('host gone');
    await page.keyboard.press('f');
    await page.waitForSelector('.app.far');
    await look('host gone, far view');
    await page.context().setOffline(false);
    await page.goto(`${server.url}pair`);
    await page.getByLabel('Code').fill('0000');
    await page.keyboard.press('Control+A');
    await look('pairing');
    await page.keyboard.press('Enter');
    await expect.poll(() => page.textContent('#answer')).toContain('code');
    await look('pairing refused');
    await page.goto(`${server.url}nothing/at/all`);
    await look('nothing there');
    await page.context().close();
    expect(wrong).toEqual([]);
  });
});
