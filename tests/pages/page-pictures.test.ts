import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { stepNames } from '../../host/web/messages.ts';
import { startPage } from '../../host/web/startPage.ts';
import { hasBrowser, laptop, openPage, phone, violations } from './browser.ts';
import { freshBrowser } from './freshBrowser.ts';
import { ScriptedSession, scriptedNoon } from './scriptedSession.ts';
import { differences, skeletonOf, type Skeleton } from './skeleton.ts';

const folder = new URL('../../host/web/pictures/', import.meta.url);

describe.skipIf(!hasBrowser)('the pictures of the page, and every step', () => {
  const browser = freshBrowser();

  it.each([
    ['phone', phone],
    ['laptop', laptop],
  ] as const)('show the page as it is now on a %s; else: npm run pictures', async (name, size) => {
    const kept = JSON.parse(readFileSync(new URL('layouts.json', folder), 'utf8')) as Record<string, Skeleton>;
    const session = new ScriptedSession(scriptedNoon).start(100);
    const server = await startPage(session, { port: 0, show: () => {} });
    const { page } = await openPage(browser(), server.url, size);
    const found: string[] = [];
    // the two differ in their sizes alone; nothing is to lie under the pinned button
    const look = async (title: string): Promise<void> => {
      await page.setViewportSize({ width: size.width, height: 4000 });
      found.push(...(await violations(page, 'all', '.step .open')).map((rule) => `${title}: ${rule}`));
    };
    const now = await skeletonOf(page, name === 'phone' ? look : undefined);
    expect(found, 'axe').toEqual([]);
    expect(differences(kept[name], now)).toEqual([]);
    // the check itself: a step that is gone, a part that has moved
    const steps = Object.fromEntries(Object.entries(now.steps).slice(1));
    expect(differences(kept[name], { ...now, steps })).toHaveLength(1);
    const [x, y, width, height] = now.parts['.bar'];
    expect(differences(now, { ...now, parts: { ...now.parts, '.bar': [x, y - 40, width, height] } })).toHaveLength(1);
    await server.close();
    await session.close();
  });

  it('are there in both looks and on both screens, each step once', () => {
    const names = readdirSync(folder).filter((file) => file.endsWith('.png'));
    const views = ['phone-dark', 'phone-day', 'laptop-dark', 'laptop-day'];
    const steps = new Set(names.map((file) => file.replace(/-(phone|laptop)-(dark|day)\.png$/, '')));
    for (const step of [...stepNames, 'needles', 'far', 'no-reading']) expect([...steps]).toContain(step);
    for (const step of steps)
      for (const view of views.filter((one) => step !== 'trace' || one.startsWith('phone')))
        expect(names, `${step}-${view}`).toContain(`${step}-${view}.png`);
  });
});
