import type { Page } from 'playwright-core';
import { inPage } from './browser.ts';

/** More stops than the page has, twice round. */
const mostTabs = 200;

/** What a screen reader would call the element with the focus; empty where none has it, or where it does not show that it has. */
const focused = (page: Page): Promise<string> =>
  inPage(
    page,
    `(() => {
      const one = document.activeElement;
      if (!one || one === document.body || !one.matches(':focus-visible')) return '';
      const name = one.getAttribute('aria-label') ?? one.labels?.[0]?.textContent ?? one.textContent;
      return name.trim();
    })()`,
  );

/** Walks by the Tab key until something whose name begins so has the focus. Throws where nothing has. */
export async function tabTo(page: Page, name: string): Promise<void> {
  const passed = new Set<string>();
  for (let tabs = 0; tabs < mostTabs; tabs += 1) {
    const at = await focused(page);
    if (at.startsWith(name)) return;
    passed.add(at);
    await page.keyboard.press('Tab');
  }
  throw new Error(`No stop of the Tab key is called "${name}", but: ${[...passed].join(' | ')}`);
}

/** Presses a button by Tab and Enter. */
export async function pressByKey(page: Page, name: string): Promise<void> {
  await tabTo(page, name);
  await page.keyboard.press('Enter');
}

/** Types into an entry that is found by Tab. */
export async function typeByKey(page: Page, label: string, text: string): Promise<void> {
  await tabTo(page, label);
  await page.keyboard.press('Control+A');
  await page.keyboard.type(text);
}
