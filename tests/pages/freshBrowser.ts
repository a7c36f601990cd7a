import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll } from 'vitest';
import { launch } from './browser.ts';

/** One for all files of a worker: starting it takes longer than many a test. It ends with the worker. */
let launched: Promise<Browser> | undefined;

/** For the tests of one `describe`: a browser without a page, and a store of their own that is empty at first. */
export function freshBrowser(): () => Browser {
  const home = mkdtempSync(join(tmpdir(), 'lodepole-page-'));
  let browser: Browser;
  beforeAll(async () => {
    process.env.LODEPOLE_HOME = home;
    browser = await (launched ??= launch());
  });
  afterAll(async () => {
    await Promise.all(browser?.contexts().map((context) => context.close()) ?? []);
    rmSync(home, { recursive: true, force: true });
  });
  return () => browser;
}
