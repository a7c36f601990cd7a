import type { Page } from 'playwright-core';
import { inPage } from './browser.ts';

/** Where the parts of the page lie, [x, y, width, height] in pixels, and what each step of the sheet is made of, from top to bottom. */
export interface Skeleton {
  parts: Record<string, [number, number, number, number]>;
  steps: Record<string, string[]>;
}

const parts = [
  'header',
  '.azimuth .face',
  '.altitude .face',
  '.azimuth .figure',
  '.altitude .figure',
  '.verdict',
  '.bar',
  '#panel',
];

/** The page as it stands, with the sheet open; every step of it is opened in turn, for `look` to look at. */
export async function skeletonOf(page: Page, look?: (title: string) => Promise<void>): Promise<Skeleton> {
  const boxes = (): Promise<Skeleton['parts']> =>
    inPage(
      page,
      `Object.fromEntries(${JSON.stringify(parts)}.flatMap((part) => {
        const box = document.querySelector(part)?.getBoundingClientRect();
        return box && box.width > 0 ? [[part, [box.x, box.y, box.width, box.height].map(Math.round)]] : [];
      }))`,
    );
  await page.keyboard.press('Escape');
  await page.waitForTimeout(150);
  const bare = await boxes();
  if ((await page.locator('#panel.steps').count()) === 0) await page.keyboard.press('s');
  await page.waitForSelector('#panel.steps');
  await page.waitForTimeout(150);
  const withSteps = await boxes();
  const steps: Skeleton['steps'] = {};
  for (const heading of await page.locator('.step h3 button').all()) {
    if ((await heading.getAttribute('aria-expanded')) !== 'true') await heading.click();
    const title = (await heading.locator('.title').textContent()) ?? '';
    await page.waitForSelector(`.step [aria-expanded=true] .title:text-is(${JSON.stringify(title)})`);
    steps[title] = await inPage(
      page,
      `[...document.querySelector('.open').children].map((one) => [one.tagName.toLowerCase(), ...one.classList].join('.'))`,
    );
    await look?.(title);
  }
  return {
    parts: {
      ...bare,
      ...Object.fromEntries(Object.entries(withSteps).map(([part, box]) => [`${part} with steps`, box])),
    },
    steps,
  };
}

/** How far two boxes may be apart: letters of another machine's font are a little wider or higher. */
const tolerancePx = 14;

/** In what two skeletons differ, in words. */
export function differences(before: Skeleton, now: Skeleton): string[] {
  const names = (key: keyof Skeleton): string[] => [
    ...new Set([...Object.keys(before[key]), ...Object.keys(now[key])]),
  ];
  return [
    ...names('parts').flatMap((part) => {
      const [one, two] = [before.parts[part], now.parts[part]];
      const isSame = one && two && one.every((value, index) => Math.abs(value - two[index]) <= tolerancePx);
      return isSame ? [] : [`${part}: ${one?.join(' ') ?? 'not there'}, now ${two?.join(' ') ?? 'not there'}`];
    }),
    ...names('steps').flatMap((step) => {
      const [one, two] = [before.steps[step], now.steps[step]].map((kinds) => kinds?.join(', ') ?? 'not there');
      return one === two ? [] : [`${step}: ${one}; now ${two}`];
    }),
  ];
}
