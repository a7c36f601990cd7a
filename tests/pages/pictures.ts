// npm run pictures: every step of the night in both looks, on phone and laptop, from a hurried virtual night in an invented scene.
import { mkdtempSync } from 'node:fs';
import { mkdir, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { Page } from 'playwright-core';
import { format } from 'prettier';
import { startPage } from '../../host/web/startPage.ts';
import { hasBrowser, laptop, launch, openPage, phone } from './browser.ts';
import { openHurried } from './hurriedSession.ts';
import { decodePng, encodeSmallPng } from './png.ts';
import { ScriptedSession, scriptedNoon } from './scriptedSession.ts';
import { skeletonOf, type Skeleton } from './skeleton.ts';

if (!hasBrowser) process.exit(69);
process.env.LODEPOLE_HOME = mkdtempSync(join(tmpdir(), 'lodepole-pictures-'));
const folder = fileURLToPath(new URL('../../host/web/pictures/', import.meta.url));
await rm(folder, { recursive: true, force: true });
await mkdir(folder, { recursive: true });

const wait = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms));
const speed = 4;
const { session, hurry, unplug } = openHurried('orchard', 4, speed, { startUtc: new Date('2027-01-15T04:00:00Z') });
const server = await startPage(session, { port: 0, show: () => {} });
const browser = await launch();

const views: { name: string; page: Page; isWide: boolean }[] = [];
for (const look of ['dark', 'day'] as const) {
  for (const [size, viewport] of [
    ['phone', phone],
    ['laptop', laptop],
  ] as const) {
    const { page } = await openPage(browser, server.url, viewport);
    if (look === 'day') await page.keyboard.press('d');
    views.push({ name: `${size}-${look}`, page, isWide: size === 'laptop' });
  }
}

async function snap(name: string): Promise<void> {
  await wait(400);
  // a busy host is not what a picture is to show
  if (name !== 'no-reading')
    for (const { page } of views)
      await page.waitForSelector('.state:not(:has-text("host")):not(:has-text("no reading"))', { state: 'attached' });
  for (const view of views)
    await writeFile(`${folder}${name}-${view.name}.png`, encodeSmallPng(decodePng(await view.page.screenshot())));
  console.log(name);
}

/** Opens a step on every view. */
async function open(title: string): Promise<void> {
  for (const { page } of views) {
    if ((await page.locator('.panel.steps').count()) === 0) await page.keyboard.press('s');
    const row = page.locator('li.step', { has: page.locator('.title', { hasText: new RegExp(`^${title}$`) }) });
    const heading = row.locator('h3 button');
    if ((await heading.getAttribute('aria-expanded')) !== 'true') await heading.click();
    await row.locator('[aria-expanded=true]').waitFor();
    await heading.evaluate((one) => (one as unknown as { scrollIntoView(): void }).scrollIntoView());
  }
}

const hands = (step: string, action: string, fields: Record<string, string> = {}): Promise<Response> =>
  fetch(`${server.url}api/steps/${step}`, {
    method: 'POST',
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify({ action, fields }),
  });

async function done(step: string, action: string, fields?: Record<string, string>): Promise<void> {
  const reply = await hands(step, action, fields);
  if (!reply.ok) throw new Error(`${step}: ${await reply.text()}`);
}

/** A step while it is under way and when it is done. */
async function both(title: string, step: string, action: string, midwayMs: number, figure = /./): Promise<void> {
  await open(title);
  const ended = done(step, action);
  await wait(midwayMs);
  if (midwayMs > 1000) {
    const row = views[0].page.locator('li.step.under-way', {
      has: views[0].page.locator(`.title:text-is("${title}")`),
    });
    const shown = row.locator('.margin', { hasText: figure });
    await shown.waitFor({ timeout: 120_000 });
    await snap(`${step}-under-way`);
  }
  await ended;
  await wait(600);
  await snap(step);
}

/** What `page-pictures.test.ts` holds the page against, so that pictures that no longer show it are found. */
async function keepLayouts(): Promise<void> {
  const scripted = new ScriptedSession(scriptedNoon).start(100);
  const host = await startPage(scripted, { port: 0, show: () => {} });
  const layouts: Record<string, Skeleton> = {};
  for (const [name, size] of [
    ['phone', phone],
    ['laptop', laptop],
  ] as const) {
    const { page } = await openPage(browser, host.url, size);
    layouts[name] = await skeletonOf(page);
    await page.context().close();
  }
  await host.close();
  await scripted.close();
  await writeFile(`${folder}layouts.json`, await format(JSON.stringify(layouts), { parser: 'json', printWidth: 120 }));
}

await keepLayouts();
await wait(4000);
await open('Site');
await snap('site');
await both('Tumble', 'tumble', 'hands', 4500);
await open('Horizon');
await snap('horizon');
await both('Level', 'level', 'hands', 800);
await both('Swing', 'swing', 'hands', 2000, /^[5-9] rests/);
await both('Stand-off', 'standoff', 'hands', 3500);
for (const { page } of views) await page.keyboard.press('Escape');
await wait(1500);
await snap('needles-degrees');
await both('Nudge', 'nudge', 'hands-count', 0);
await hands('nudge', 'hands-nudge');
await open('Nudge');
for (const { page } of views) await page.keyboard.press('Escape');
await hands('lock', 'before');
await wait(1500);
await snap('needles');
for (const { page } of views) await page.keyboard.press('f');
await snap('far');
for (const { page } of views) await page.keyboard.press('Escape');
await both('Lock', 'lock', 'hands', 900);
await both('Load', 'load', 'hands', 900);
const barn = {
  rig: 'barn',
  parts: 'tube 4.2 40 120; camera 0.9 -90 130',
  weights: '3 90-340',
  shaft: '1.1 170',
  travel: '-60 90',
};
await done('balance', 'balance', barn);
await open('Balance');
await snap('balance');
await both('Sights of stars', 'sights', 'hands', 9000);
await open('Sun by shadow');
await snap('sun');
hurry(40);
await both('Drift of a star', 'drift', 'hands', 12_000);
hurry(speed);
await done('starNudge', 'hands-centre');
await open('Nudge on a star');
await snap('starNudge');
await done('side', 'list');
await open('Side of the mount');
await snap('side');
await open('Answer of the night');
await snap('answer');
await done('enough', 'ask', { exposure: '120', focal: '400', pixel: '3.8', dec: '41d' });
await open('Good enough\\?');
await snap('enough');
for (const [panel, key] of [
  ['trace', 't'],
  ['sound', 'o'],
  ['look', 'l'],
  ['hands', 'h'],
  ['more', '?'],
] as const) {
  for (const { page, isWide } of views) if (!isWide || panel !== 'trace') await page.keyboard.press(key);
  await snap(panel);
  for (const { page } of views) await page.keyboard.press('Escape');
}
await unplug();
await wait(2500);
await snap('no-reading');
await browser.close();
await server.close();
await session.close();
process.exit(0);
