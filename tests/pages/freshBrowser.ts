import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll } from 'vitest';
import { launch } from './browser.ts';

/** For the tests of one `describe`: a browser, and a store of their own that is empty at first. */
export function freshBrowser(): () => Browser {
  const home = mkdtempSync(join(tmpdir(), 'lodepole-page-'));
  let browser: Browser;
  beforeAll(async () => {
    process.env.LODEPOLE_HOME = home;
    browser = await launch();
  });
  afterAll(async () => {
    await browser?.close();
    rmSync(home, { recursive: true, force: true });
  });
  return () => browser;
}
