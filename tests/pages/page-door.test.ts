import { mkdtempSync, rmSync } from 'node:fs';
import { request } from 'node:http';
import { networkInterfaces, tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { startPage, type PageServer } from '../../host/web/startPage.ts';
import { ScriptedSession } from './scriptedSession.ts';

interface Answer {
  status: number;
  headers: Record<string, string | string[] | undefined>;
  body: string;
}

function ask(
  port: number,
  path: string,
  {
    method = 'GET',
    headers = {},
    body,
    host = '127.0.0.1',
  }: { method?: string; headers?: Record<string, string>; body?: string; host?: string } = {},
): Promise<Answer> {
  return new Promise((resolve, reject) => {
    const sent = request({ host, port, path, method, headers }, (reply) => {
      let text = '';
      reply.setEncoding('utf8');
      reply.on('data', (piece: string) => (text += piece));
      reply.on('end', () => resolve({ status: reply.statusCode ?? 0, headers: reply.headers, body: text }));
    });
    sent.on('error', reject);
    sent.end(body);
  });
}

const json = { 'content-type': 'application/json' };
const lanAddress = Object.values(networkInterfaces())
  .flatMap((list) => list ?? [])
  .find(({ family, internal }) => family === 'IPv4' && !internal)?.address;

describe('the door of the page', () => {
  const session = new ScriptedSession();
  let server: PageServer;
  beforeAll(async () => {
    session.start();
    server = await startPage(session, { port: 0, show: () => {} });
  });
  afterAll(async () => {
    await server.close();
    await session.close();
  });

  it('lets in the person at this machine and sends a strict policy', async () => {
    const answer = await ask(server.port, '/');
    expect(answer.status).toBe(200);
    const policy = String(answer.headers['content-security-policy']);
    expect(policy).toContain("default-src 'none'");
    expect(policy).toContain("script-src 'self'");
    expect(policy).not.toContain('unsafe');
    expect(answer.headers['x-content-type-options']).toBe('nosniff');
    expect(answer.body).not.toMatch(/<script(?![^>]*src=)|<style|style=|\son\w+="/);
    expect(answer.body.indexOf('bgcolor="#000000"')).toBeLessThan(60);
  });

  it.each(['example.org', 'lodepole.example.org', '127.0.0.1', '127.0.0.1:1', '127.0.0.1.example.org:80'])(
    'refuses the Host header "%s"',
    async (host) => {
      const answer = await ask(server.port, '/', { headers: { host } });
      expect([400, 403]).toContain(answer.status);
    },
  );

  it('refuses requests from other sites, live stream included', async () => {
    const origin = { origin: 'http://example.org' };
    for (const path of ['/api/now', '/api/live', '/api/trace'])
      expect((await ask(server.port, path, { headers: origin })).status).toBe(403);
    const before = session.turned.length;
    const body = JSON.stringify({ bolt: 'azimuth', turns: 1 });
    const foreign = [
      { ...json, ...origin },
      { ...json, origin: 'null' },
      { ...json, origin: `http://127.0.0.1:${server.port + 1}` },
      { ...json, 'sec-fetch-site': 'cross-site' },
    ];
    for (const headers of foreign)
      expect((await ask(server.port, '/api/bolt', { method: 'POST', headers, body })).status).toBe(403);
    const form = { 'content-type': 'text/plain' };
    expect((await ask(server.port, '/api/bolt', { method: 'POST', headers: form, body })).status).toBe(415);
    expect(session.turned.length).toBe(before);
    const own = { ...json, origin: `http://127.0.0.1:${server.port}` };
    expect((await ask(server.port, '/api/bolt', { method: 'POST', headers: own, body })).status).toBe(200);
    expect(session.turned.at(-1)).toEqual({ bolt: 'azimuth', turns: 1 });
  });

  it.each([
    '/../package.json',
    '/..%2fpackage.json',
    '/%2e%2e/%2e%2e/etc/passwd',
    '/page/main.tsx',
    '/main.tsx',
    '/startPage.ts',
    '//etc/passwd',
    '/%00',
    '/__proto__',
  ])('opens no folder: %s', async (path) => {
    const answer = await ask(server.port, path);
    expect([400, 404]).toContain(answer.status);
    expect(answer.body).not.toMatch(/root:|dependencies|import /);
  });

  it.each([
    ['not JSON', '{'],
    ['another bolt', JSON.stringify({ bolt: 'focus', turns: 1 })],
    ['too many turns', JSON.stringify({ bolt: 'azimuth', turns: 1e9 })],
    ['no number', JSON.stringify({ bolt: 'azimuth', turns: null })],
    ['an array', '[]'],
    ['nothing', ''],
  ])('refuses %s with what to do and nothing of its inside', async (_name, body) => {
    const answer = await ask(server.port, '/api/bolt', { method: 'POST', headers: json, body });
    expect(answer.status).toBe(400);
    const { error, whatToDo } = JSON.parse(answer.body) as { error: string; whatToDo: string };
    expect(error.length).toBeGreaterThan(5);
    expect(whatToDo.length).toBeGreaterThan(5);
    expect(answer.body).not.toMatch(/node_modules|\/work|\.ts|at \w+ \(|fastify|zod/i);
  });

  it('refuses a large body', async () => {
    const body = JSON.stringify({ bolt: 'azimuth', turns: 1, more: 'x'.repeat(10_000) });
    expect((await ask(server.port, '/api/bolt', { method: 'POST', headers: json, body })).status).toBe(413);
  });

  it('answers a person with a dark page and a program with JSON where there is nothing', async () => {
    const page = await ask(server.port, '/nowhere', { headers: { accept: 'text/html' } });
    expect(page.status).toBe(404);
    expect(page.body).toContain('bgcolor="#000000"');
    expect(JSON.parse((await ask(server.port, '/nowhere')).body)).toMatchObject({ schema: 1 });
  });

  it('listens on the loopback address only', async () => {
    if (lanAddress === undefined) return console.error('This machine has no network address: only loopback was tried.');
    await expect(ask(server.port, '/', { host: lanAddress })).rejects.toThrow(/ECONNREFUSED/);
    expect(server.sharedUrls).toEqual([]);
    expect(server.pairingCode()).toBeUndefined();
  });

  it('opens the live stream for those who read it only', async () => {
    expect((await ask(server.port, '/api/live', { method: 'HEAD' })).status).toBe(404);
    expect((await ask(server.port, '/api/live', { method: 'POST', headers: json, body: '{}' })).status).toBe(404);
    expect(server.viewers()).toBe(0);
  });

  it('limits the rate', async () => {
    const own = await startPage(session, { port: 0, show: () => {} });
    const statuses: number[] = [];
    for (let burst = 0; burst < 16; burst += 1) {
      const answers = await Promise.all(Array.from({ length: 100 }, () => ask(own.port, '/icon.svg')));
      statuses.push(...answers.map(({ status }) => status));
    }
    await own.close();
    expect(statuses.filter((status) => status === 200).length).toBe(1500);
    expect(statuses.at(-1)).toBe(429);
  });
});

describe.skipIf(lanAddress === undefined)('sharing with the local network', () => {
  const home = mkdtempSync(join(tmpdir(), 'lodepole-door-'));
  const session = new ScriptedSession();
  const shown: string[] = [];
  let server: PageServer;
  const viaLan = (path: string, options: Parameters<typeof ask>[2] = {}): Promise<Answer> =>
    ask(server.port, path, { ...options, host: lanAddress });
  beforeAll(async () => {
    process.env.LODEPOLE_HOME = home;
    session.start();
    server = await startPage(session, { port: 0, share: true, show: (text) => shown.push(text) });
  });
  afterAll(async () => {
    await server.close();
    await session.close();
    rmSync(home, { recursive: true, force: true });
  });

  it('shows the code as text and as a QR code', () => {
    expect(shown.join('\n')).toContain(server.pairingCode());
    expect(shown.join('\n')).toMatch(/[▀▄█]{7}/);
    expect(server.sharedUrls).toContain(`http://${lanAddress}:${server.port}/`);
  });

  it('refuses a device without the code, whatever it asks for', async () => {
    expect((await viaLan('/')).headers.location).toBe('/pair');
    for (const path of ['/api/now', '/api/live', '/api/trace', '/main.js'])
      expect((await viaLan(path)).status).toBe(401);
    const body = JSON.stringify({ bolt: 'azimuth', turns: 1 });
    expect((await viaLan('/api/bolt', { method: 'POST', headers: json, body })).status).toBe(401);
    expect((await viaLan('/api/now', { headers: { cookie: `lodepole=${'A'.repeat(32)}` } })).status).toBe(401);
    expect(session.turned).toEqual([]);
    expect((await viaLan('/pair')).status).toBe(200);
  });

  it('pairs one device for each code', async () => {
    const pair = (code: string): Promise<Answer> =>
      viaLan('/api/pair', { method: 'POST', headers: json, body: JSON.stringify({ code }) });
    const code = server.pairingCode() ?? '';
    expect((await pair('0000-0000')).status).toBe(401);
    const paired = await pair(code.toLowerCase().replace('-', ' '));
    expect(paired.status).toBe(200);
    const cookie = String(paired.headers['set-cookie']);
    expect(cookie).toMatch(/HttpOnly.*SameSite=Strict/);
    expect((await viaLan('/api/now', { headers: { cookie: cookie.split(';')[0] } })).status).toBe(200);
    expect((await pair(code)).status).toBe(401);
    expect(server.pairingCode()).not.toBe(code);
  });

  it('stops guessing and changes the code under attack', async () => {
    const code = server.pairingCode();
    const guesses = await Promise.all(
      Array.from({ length: 30 }, (_, index) =>
        viaLan('/api/pair', {
          method: 'POST',
          headers: json,
          body: JSON.stringify({ code: `${index}`.padStart(8, '0') }),
        }),
      ),
    );
    expect(guesses.every(({ status }) => status === 401 || status === 429)).toBe(true);
    expect(guesses.filter(({ status }) => status === 429).length).toBeGreaterThanOrEqual(20);
    expect((await viaLan('/api/now')).status).toBe(401);
    expect(code).toBeDefined();
  });
});
