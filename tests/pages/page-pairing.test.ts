import { networkInterfaces } from 'node:os';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { startPage, type PageServer } from '../../host/web/startPage.ts';
import { hasBrowser, inPage, phone, violations } from './browser.ts';
import { freshBrowser } from './freshBrowser.ts';
import { ScriptedSession } from './scriptedSession.ts';

const hasNetwork = Object.values(networkInterfaces())
  .flatMap((list) => list ?? [])
  .some(({ family, internal }) => family === 'IPv4' && !internal);
if (!hasNetwork) console.error('SKIPPED: this machine has no network address, so no device could be paired.');

describe.skipIf(!hasBrowser || !hasNetwork)('a phone in the local network', () => {
  const session = new ScriptedSession();
  const shown: string[] = [];
  const browser = freshBrowser();
  let server: PageServer;
  beforeAll(async () => {
    session.start();
    server = await startPage(session, { port: 0, share: true, show: (text) => shown.push(text) });
  });
  afterAll(async () => {
    await server.close();
    await session.close();
  });

  it('is asked for the code, told when it is wrong, and then sees the needles', async () => {
    const page = await browser().newPage({ viewport: phone });
    await page.goto(server.sharedUrls[0]);
    expect(page.url()).toMatch(/\/pair$/);
    expect(await violations(page)).toEqual([]);
    await page.getByLabel('Code').fill('0000 0000');
    await page.keyboard.press('Enter');
    await expect.poll(() => page.textContent('#answer')).toContain('That is not the code');
    await page.getByLabel('Code').fill(server.pairingCode() ?? '');
    await page.getByRole('button', { name: 'Pair' }).click();
    await page.waitForSelector('.app[data-stale="false"]');
    await expect.poll(() => page.textContent('.azimuth .figure')).toBe('41′ east');
    await page.context().close();
  });

  it('needs to type nothing when it reads the QR code, and the code leaves the address line', async () => {
    const page = await browser().newPage({ viewport: phone });
    await page.goto(`${server.sharedUrls[0]}pair#${server.pairingCode()}`);
    await page.waitForSelector('.app[data-stale="false"]');
    expect(await inPage(page, 'location.hash')).toBe('');
    await page.context().close();
  });

  it('is sent to pairing when the program was started anew, and needs no reload for that', async () => {
    const page = await browser().newPage({ viewport: phone });
    await page.goto(`${server.sharedUrls[0]}pair#${server.pairingCode()}`);
    await page.waitForSelector('.app[data-stale="false"]');
    const { port } = server;
    await server.close();
    server = await startPage(session, { port, share: true, show: (text) => shown.push(text) });
    await expect.poll(() => page.url()).toMatch(/\/pair$/);
    await page.context().close();
  });
});
