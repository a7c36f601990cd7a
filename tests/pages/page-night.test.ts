import type { Page } from 'playwright-core';
import { describe, expect, it } from 'vitest';
import { arcminute } from '../../calibration/angle.ts';
import { carriedBy } from '../../host/night/carriedAnswer.ts';
import { ComingStep } from '../../host/night/comingStep.ts';
import { startPage } from '../../host/web/startPage.ts';
import { hasBrowser, laptop, openPage, violations } from './browser.ts';
import { freshBrowser } from './freshBrowser.ts';
import { expectHonest } from './honest.ts';
import { openHurried } from './hurriedSession.ts';
import { stepOf } from './steps.ts';

/** What a newcomer presses in each step that the page opens, and what it says once that is done. */
const presses: Readonly<Record<string, { type?: Readonly<Record<string, string>>; button: string; done: RegExp }>> = {
  Tumble: { button: 'Hands tumble the board', done: /The board is calibrated/ },
  Level: { button: 'Hands do it', done: /Tilt .*give or take/ },
  Swing: { button: 'Hands swing the axis', done: /The axis is found/ },
  Nudge: { button: 'Hands nudge to zero', done: /Azimuth .*give or take/ },
  Load: { button: 'Hands put the load on', done: /The load/ },
  Balance: {
    type: {
      'Name of the rig': 'newcomer',
      'Parts: ': 'tube 5.2 20 180',
      'Counterweights: ': '5 90-340',
      'Shaft: ': '1.1 170',
      'Travel of': '-60 90',
    },
    button: 'Balance it',
    done: /Counterweights/,
  },
  'Sights of stars': { button: 'Hands take 6 sights', done: /The axis is uncertain by .* on the sky/ },
  'Good enough?': {
    type: { 'Exposure, seconds': '60', 'Focal length, mm': '400', 'Pixel, micrometres': '3.8' },
    button: 'Is it good enough?',
    done: /chances? in 100/,
  },
  'Nudge on a star': { button: 'Hands nudge on the star', done: /Lock the bolts while you watch the star/ },
  Lock: { button: 'Hands lock the bolts', done: /Locking/ },
  'Drift of a star': { button: 'Hands watch two stars, 10 minutes', done: /The needles show this/ },
  'Side of the mount': { button: 'List what can be seen now', done: /tube (east|west)/ },
};
const mostSteps = 24;

describe.skipIf(!hasBrowser)('a whole night from the page, on the virtual mount', () => {
  const browser = freshBrowser();

  it('goes from an uncalibrated board to the printed sheet by the next step that is shown, and is right at its end', async () => {
    const { session, world, hurry } = openHurried('orchard', 7, 16, { startUtc: new Date('2027-01-15T04:00:00Z') });
    const carried = carriedBy(session);
    const coming = new ComingStep(session, carried.log);
    const server = await startPage(session, { port: 0, show: () => {}, carried, coming });
    const { page, faults } = await openPage(browser(), server.url, laptop);
    const walked: string[] = [];
    const opened = (): Promise<string> => page.locator('h3 button[aria-expanded=true] .title').innerText();
    for (let steps = 0; steps < mostSteps; steps += 1) {
      await goToNext(page, coming);
      const title = await opened();
      if (walked.at(-1) !== title) walked.push(title);
      if (coming.step === 'sheet') break;
      const { type = {}, button, done } = presses[title] ?? expect.unreachable(`the step ${title}`);
      const step = await stepOf(page, title.replace('?', '\\?'));
      for (const [label, text] of Object.entries(type)) await step.row.getByRole('textbox', { name: label }).fill(text);
      if (title === 'Drift of a star') hurry(60);
      await step.press(button);
      await step.shows(done);
      hurry(16);
    }
    expect(walked.slice(0, 8)).toEqual([
      'Tumble',
      'Level',
      'Swing',
      'Nudge',
      'Load',
      'Balance',
      'Sights of stars',
      'Good enough?',
    ]);
    expect(walked).toContain('Lock');
    expect(walked.slice(-2)).toEqual(['Side of the mount', 'Answer of the night']);
    expect(world.mount.isLocked).toBe(true);
    expect(world.mount.loadShare).toBe(1);
    // the plan allows 7.5′, and what was measured last is known to 1.5′
    expect(world.truth().distanceRad / arcminute).toBeLessThan(7.5 + 4.5 * 1.5);
    await expect.poll(() => session.latest()?.state).toBe('still');
    expectHonest(session.latest(), world.truth());
    const answer = await (await stepOf(page, 'Answer of the night')).text();
    expect(answer).toMatch(/Sights, .* ago/);
    expect(answer).toContain('print the night sheet');
    expect(await violations(page)).toEqual([]);

    const sheet = await (await fetch(`${server.url}night.html`)).text();
    expect(sheet).toContain('Balance of newcomer');
    expect(sheet).toContain('The load');
    expect(sheet).toMatch(/Plan: exposures of 60 s/);
    await expect.poll(() => coming.step).toBe('observe');
    expect(faults).toEqual([]);
    coming.close();
    await server.close();
    await session.close();
    carried.close();
  });
});

/** Waits until the page shows the step that comes next, and opens it as the page offers. */
async function goToNext(page: Page, coming: ComingStep): Promise<void> {
  let seen = '';
  // the log has grown: what comes next is looked at once a second
  await expect
    .poll(
      async () => {
        const before = seen;
        seen = `${coming.step} ${await page.locator('#panel .coming strong').innerText()}`;
        return seen === before && seen.endsWith(coming.title);
      },
      { timeout: 60_000, interval: 1500 },
    )
    .toBe(true);
  const button = page.getByRole('button', { name: 'Go to it' });
  if (await button.isVisible()) await button.click();
}
