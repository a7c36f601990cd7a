import type { Page } from 'playwright-core';
import { expect } from 'vitest';

/** Far above what a step takes on a machine with room. */
const stepLimitMs = 150_000;

/** A step of the sheet, opened, for a test to work with as a person would. */
export async function stepOf(page: Page, title: string) {
  const row = page.locator('li.step', { has: page.locator('.title', { hasText: new RegExp(`^${title}$`) }) });
  const open = async (): Promise<void> => {
    const heading = row.locator('h3 button');
    if ((await heading.getAttribute('aria-expanded')) !== 'true') await heading.click();
  };
  const text = async (): Promise<string> => {
    await open();
    return row.locator('.open').innerText();
  };
  await open();
  return {
    row,
    /** All that the open step says. */
    text,
    /** Waits until the step says so. */
    shows: (words: RegExp): Promise<void> =>
      expect.poll(text, { timeout: stepLimitMs, interval: 100 }).toMatch(words) as unknown as Promise<void>,
    /** Waits until the step is `done`, `under-way`, `refused` or `to-do`. */
    is: (status: string): Promise<void> => row.and(page.locator(`.${status}`)).waitFor({ timeout: stepLimitMs }),
    fill: (label: string, value: string): Promise<void> => row.getByRole('textbox', { name: label }).fill(value),
    /** Presses a button and waits for the host's answer. */
    async press(button: string, status = 200): Promise<void> {
      await open();
      const answered = page.waitForResponse((reply) => reply.url().includes('/api/steps/'), { timeout: stepLimitMs });
      await row.getByRole('button', { name: button, exact: true }).click();
      const reply = await answered;
      expect(reply.status(), `${button}: ${await reply.text()}`).toBe(status);
    },
  };
}
