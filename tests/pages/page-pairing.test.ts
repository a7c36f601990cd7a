import multicastDns from 'multicast-dns';
import { existsSync, readFileSync, rmSync, statSync } from 'node:fs';
import { get } from 'node:http';
import { networkInterfaces } from 'node:os';
import { afterAll, beforeAll, describe, expect, it, onTestFinished } from 'vitest';
import { storePath } from '../../host/store/folder.ts';
import { startPage, type PageServer } from '../../host/web/startPage.ts';
import { brightness } from './brightness.ts';
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

  it('keeps its pairing when the program is started anew, and loses it with the file that holds it', async () => {
    const page = await browser().newPage({ viewport: phone });
    await page.goto(`${server.sharedUrls[0]}pair#${server.pairingCode()}`);
    await page.waitForSelector('.app[data-stale="false"]');
    await inPage(page, 'globalThis.neverReloaded = true');
    const { port } = server;
    const path = storePath('paired.json');
    await expect.poll(() => existsSync(path)).toBe(true);
    expect(statSync(path).mode & 0o777).toBe(0o600);
    const [{ value: token }] = await page.context().cookies();
    expect(readFileSync(path, 'utf8')).not.toContain(token);
    await server.close();
    server = await startPage(session, { port, share: true, show: (text) => shown.push(text) });
    await page.waitForSelector('.app[data-stale="false"]');
    expect(await inPage(page, 'globalThis.neverReloaded')).toBe(true);
    await server.close();
    rmSync(path);
    server = await startPage(session, { port, share: true, show: (text) => shown.push(text) });
    await expect.poll(() => page.url()).toMatch(/\/pair$/);
    await page.context().close();
  });

  it('stays awake on plain http from the first touch on', async () => {
    const page = await browser().newPage({ viewport: phone });
    await page.goto(`${server.sharedUrls[0]}pair#${server.pairingCode()}`);
    await page.waitForSelector('.app[data-stale="false"]');
    expect(await inPage(page, '"wakeLock" in navigator')).toBe(false);
    await page.locator('.bar button', { hasText: 'more' }).click();
    await expect.poll(() => inPage(page, 'document.querySelector("video")?.paused')).toBe(false);
    await page.locator('#panel button', { hasText: 'look' }).click();
    await expect.poll(() => page.textContent('#panel')).toContain('The screen is kept awake.');
    await page.context().close();
  });

  it('is held while the host is away, where no service worker may keep a copy, and stays dark', async () => {
    const page = await browser().newPage({ viewport: phone });
    await page.goto(`${server.sharedUrls[0]}pair#${server.pairingCode()}`);
    await page.waitForSelector('.app[data-stale="false"]');
    await page.locator('.bar button', { hasText: 'more' }).click();
    await inPage(page, 'globalThis.neverReloaded = true');
    const { port } = server;
    await server.close();
    await page.waitForSelector('.instruments.stale');
    await expect.poll(() => page.textContent('.state')).toContain('host does not answer');
    await page.keyboard.press('F5');
    const asked = page.waitForEvent('dialog');
    await page.evaluate('setTimeout(() => location.reload())');
    const dialog = await asked;
    expect(dialog.type()).toBe('beforeunload');
    await dialog.dismiss();
    expect(await inPage(page, 'globalThis.neverReloaded')).toBe(true);
    expect((await brightness(page)).meanGreen).toBe(0);
    server = await startPage(session, { port, share: true, show: (text) => shown.push(text) });
    await page.waitForSelector('.instruments:not(.stale)');
    await page.context().close();
  });
});

describe.skipIf(!hasNetwork)('a host whose address changes', () => {
  it('is let in under the new address, tells it, and answers to its name', async () => {
    const session = new ScriptedSession().start();
    const shown: string[] = [];
    let addresses = ['192.0.2.10'];
    const server = await startPage(session, {
      port: 0,
      share: true,
      show: (text) => shown.push(text),
      addresses: () => addresses,
    });
    onTestFinished(async () => {
      await server.close();
      await session.close();
    });
    const statusFor = (host: string): Promise<number | undefined> =>
      new Promise((resolve, reject) => {
        get({ port: server.port, path: '/pair', headers: { host: `${host}:${server.port}` } }, (reply) => {
          reply.resume();
          resolve(reply.statusCode);
        }).on('error', reject);
      });
    expect(await statusFor('192.0.2.10')).toBe(200);
    expect(await statusFor('192.0.2.77')).toBe(403);
    expect(await statusFor('lodepole.local')).toBe(200);
    addresses = ['192.0.2.77'];
    await expect.poll(() => statusFor('192.0.2.77')).toBe(200);
    expect(await statusFor('192.0.2.10')).toBe(403);
    await expect.poll(() => shown.at(-1)).toContain(`http://192.0.2.77:${server.port}/pair`);
    expect(server.sharedUrls).toEqual([`http://192.0.2.77:${server.port}/`]);

    const asker = multicastDns();
    const heard: unknown[] = [];
    asker.on('response', ({ answers }) =>
      heard.push(
        ...answers.filter(({ name }) => name === 'lodepole.local').map((answer) => 'data' in answer && answer.data),
      ),
    );
    asker.query('lodepole.local', 'A');
    await expect.poll(() => heard).toContain('192.0.2.77');
    asker.destroy();
  });
});
