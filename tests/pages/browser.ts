import { existsSync } from 'node:fs';
import axe from 'axe-core';
import { chromium, type Browser, type BrowserContextOptions, type Page } from 'playwright-core';

/** The first of these that is there; the headless shell spends half the time of the whole browser. */
const executablePath =
  process.env.LODEPOLE_CHROMIUM ??
  ['/usr/bin/chromium-headless-shell', '/usr/bin/chromium'].find((path) => existsSync(path)) ??
  '/usr/bin/chromium';

/** False, said loudly, where there is no Chromium. */
export const hasBrowser = existsSync(executablePath);
if (!hasBrowser)
  console.error(`SKIPPED: ${executablePath} is missing, so no page was looked at. Install the package "chromium".`);

export const phone = { width: 390, height: 844 };
export const laptop = { width: 1366, height: 768 };

export const launch = (): Promise<Browser> =>
  chromium.launch({
    executablePath,
    // scroll bars are part of what one sees in the dark
    ignoreDefaultArgs: ['--hide-scrollbars'],
    args: [
      '--no-sandbox',
      '--disable-gpu',
      '--disable-quic',
      '--no-first-run',
      '--disable-background-networking',
      '--disable-component-update',
      '--disable-sync',
      '--autoplay-policy=no-user-gesture-required',
    ],
  });

/**
 * Opens the page, with needles that do not swing and without the copy that a service worker keeps, and waits for the first needles;
 * `faults` gathers every error of the console. It takes two seconds of a processor: tests share a page where they can.
 */
export async function openPage(
  browser: Browser,
  url: string,
  viewport = phone,
  options: BrowserContextOptions = {},
): Promise<{ page: Page; faults: string[] }> {
  const context = await browser.newContext({ viewport, reducedMotion: 'reduce', serviceWorkers: 'block', ...options });
  const page = await context.newPage();
  const faults: string[] = [];
  page.on('pageerror', (error) => faults.push(error.message));
  page.on('console', (message) => {
    if (message.type() === 'error') faults.push(message.text());
  });
  await page.goto(url);
  await page.waitForSelector('.app[data-stale="false"]');
  return { page, faults };
}

/** Deflection of a needle in degrees as drawn, clockwise positive. */
export const deflection = (page: Page, axis: 'azimuth' | 'altitude'): Promise<number> =>
  page
    .locator(`.dial.${axis} .moving`)
    .evaluate((element) => Number(/rotate\(([-\d.]+)/.exec(element.getAttribute('transform') ?? '')?.[1] ?? 'NaN'));

/** Value of an expression in the page; a text, because the tests' types know no browser. */
export const inPage = <T>(page: Page, expression: string): Promise<T> => page.evaluate(expression) as Promise<T>;

const rulesOfAxe = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'];

/**
 * What axe finds against WCAG 2.2 AA and good practice, or of its contrasts alone, each with the elements concerned; in a part of the
 * page it takes a part of the time.
 */
export async function violations(page: Page, only: 'all' | 'contrast' = 'all', part?: string): Promise<string[]> {
  // The policy of the page forbids foreign scripts, so axe goes in through the debugger and not as a script element.
  if (!(await inPage(page, '"axe" in globalThis'))) await page.evaluate(axe.source);
  const options: axe.RunOptions = {
    runOnly: only === 'all' ? rulesOfAxe : { type: 'rule', values: ['color-contrast'] },
    resultTypes: ['violations'],
  };
  const found = await inPage<axe.AxeResults>(
    page,
    `axe.run(${part ? `${JSON.stringify(part)}, ` : ''}${JSON.stringify(options)})`,
  );
  return found.violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html.slice(0, 120)).join(' | ')}`);
}
