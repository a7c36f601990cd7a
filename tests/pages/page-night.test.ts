import type { Page } from 'playwright-core';
import { describe, expect, it } from 'vitest';
import { arcminute, degree } from '../../calibration/angle.ts';
import { carriedBy } from '../../host/night/carriedAnswer.ts';
import { ComingStep } from '../../host/night/comingStep.ts';
import { startPage } from '../../host/web/startPage.ts';
import { hasBrowser, inPage, laptop, openPage, violations } from './browser.ts';
import { freshBrowser } from './freshBrowser.ts';
import { expectHonest, farOffSigmas } from './honest.ts';
import { openHurried } from './hurriedSession.ts';
import { pressByKey, typeByKey } from './keyboard.ts';

/** What only the person knows: the instrument, and what tonight is for. */
const typed: Readonly<Record<string, readonly (readonly [label: string, text: string])[]>> = {
  Balance: [
    ['Name of the rig', 'newcomer'],
    ['Parts', 'tube 5.2 20 180'],
    ['Counterweights', '5 90-340'],
    ['Shaft', '1.1 170'],
    ['Travel of', '-60 90'],
  ],
  'Good enough?': [
    ['Exposure', '60'],
    ['Focal length', '200'],
    ['Pixel', '3.8'],
  ],
};
const speed = 20;
/** While a star only drifts. */
const driftSpeed = 60;
const mostSteps = 60;
/** Far above what they take on a machine with room: a minute for all. */
const stepLimitMs = 240_000;
const nightLimitMs = 500_000;

interface Told {
  coming: string;
  open: string;
  offers: string;
  fault: string;
  goes: boolean;
  isBusy: boolean;
}

/** What the page says comes next, and what it has open. */
const told = (page: Page): Promise<Told> =>
  inPage(
    page,
    `(() => {
      const text = (what) => document.querySelector(what)?.textContent.trim() ?? '';
      return {
        coming: text('#panel .coming'),
        open: text('h3 button[aria-expanded=true] .title'),
        offers: text('.open .pinned .main'),
        fault: text('.open .fault'),
        goes: text('.to-coming') !== '',
        isBusy: document.querySelector('li.step.under-way .open') !== null,
      };
    })()`,
  );

/** A row of the open step, `1.2′ east, give or take 3′`, in arcminutes, against the truth. */
function expectTold(text: string, label: string, trueRad: number): void {
  const row = new RegExp(`${label}\\s([\\d.]+)([′°])[^,]*?(low|west)?, give or take ([\\d.]+)([′°])`).exec(text);
  if (!row) throw new Error(`no row ${label} in: ${text}`);
  const inRad = (number: string, unit: string): number => Number(number) * (unit === '°' ? degree : arcminute);
  const valueRad = inRad(row[1], row[2]) * (row[3] ? -1 : 1);
  expect(Math.abs(valueRad - trueRad), `${row[0]}; truly ${(trueRad / arcminute).toFixed(1)}′`).toBeLessThan(
    (farOffSigmas / 2) * inRad(row[4], row[5]),
  );
}

/** Follows what the page says comes next by its one large button, until the sheet; returns the steps that it went through. */
async function follow(page: Page, hurry: (times: number) => void): Promise<string[]> {
  const walked: string[] = [];
  for (let steps = 0; steps < mostSteps; steps += 1) {
    if ((await told(page)).goes) await pressByKey(page, 'Go to it');
    await expect.poll(async () => (await told(page)).goes, { timeout: stepLimitMs }).toBe(false);
    const { coming, open } = await told(page);
    walked.push(open);
    for (const [label, text] of typed[open] ?? []) await typeByKey(page, label, text);
    await expect.poll(async () => (await told(page)).offers, { timeout: stepLimitMs }).not.toBe('');
    const { offers } = await told(page);
    if (open === 'Drift of a star') hurry(driftSpeed);
    await pressByKey(page, offers);
    if (coming.startsWith('Next: night sheet.')) return walked;
    let wasBusy = false;
    let freeSinceMs = Infinity;
    const isOver = async (): Promise<boolean> => {
      const now = await told(page);
      if (now.fault !== '') return true;
      wasBusy ||= now.isBusy;
      // its reason alone may change meanwhile
      if (now.isBusy) return false;
      if (now.coming !== coming) return true;
      // a nudge that takes several steps, or one that was not enough, comes next again
      freeSinceMs = wasBusy && now.offers !== '' ? Math.min(freeSinceMs, performance.now()) : Infinity;
      return performance.now() - freeSinceMs > 3000;
    };
    await expect.poll(isOver, { timeout: stepLimitMs, interval: 100, message: `${open}: ${offers}` }).toBe(true);
    expect((await told(page)).fault, `${open}: ${offers}`).toBe('');
    hurry(speed);
  }
  throw new Error(`The evening does not end: ${walked.join(', ')}`);
}

describe.skipIf(!hasBrowser)('a whole night from the page, on the virtual mount', () => {
  const browser = freshBrowser();

  it(
    'goes from an uncalibrated board to the printed sheet by the keyboard and what the page offers next, and is right at its end',
    async () => {
      const { session, world, hurry } = openHurried('orchard', 7, speed, {
        startUtc: new Date('2027-01-15T04:00:00Z'),
      });
      const carried = carriedBy(session);
      const coming = new ComingStep(session, carried.log);
      const server = await startPage(session, { port: 0, show: () => {}, carried, coming });
      const { page, faults } = await openPage(browser(), server.url, laptop);
      await expect.poll(async () => (await told(page)).coming).toMatch(/^Next: tumble/);

      const walked = await follow(page, hurry);
      const steps = walked.filter((step, at) => step !== walked[at - 1]);
      expect(steps.slice(0, 8)).toEqual([
        'Tumble',
        'Level',
        'Swing',
        'Nudge',
        'Load',
        'Balance',
        'Sights of stars',
        'Good enough?',
      ]);
      expect(steps).toContain('Lock');
      expect(steps.slice(-2)).toEqual(['Side of the mount', 'Answer of the night']);
      expect(world.mount).toMatchObject({ isLocked: true, loadShare: 1 });

      const truth = world.truth();
      const answer = await page.locator('.open').innerText();
      expectTold(answer, 'Azimuth', truth.azimuthErrorRad);
      expectTold(answer, 'Altitude', truth.altitudeErrorRad);
      expectTold(answer, 'From the pole', truth.distanceRad);
      // the plan allows 15′, and what was measured last is known to 3′
      expect(truth.distanceRad / arcminute).toBeLessThan(15 + farOffSigmas * 3);
      await expect.poll(() => session.latest()?.state).toBe('still');
      expectHonest(session.latest(), world.truth());
      expect(answer).toMatch(/Sights, .* ago/);
      expect(await violations(page)).toEqual([]);

      const paper = page.locator('.paper');
      await paper.waitFor({ state: 'attached' });
      const sheet = (await paper.textContent()) ?? '';
      expect(sheet).toContain('Balance of newcomer');
      expect(sheet).toContain('The load');
      expect(sheet).toMatch(/Plan: exposures of 60 s/);
      await expect.poll(() => coming.step).toBe('observe');
      expect(faults).toEqual([]);
      coming.close();
      await server.close();
      await session.close();
      carried.close();
    },
    nightLimitMs,
  );
});
