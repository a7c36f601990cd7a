import { get, type IncomingMessage } from 'node:http';
import { connect } from 'node:net';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { arcminute } from '../../calibration/angle.ts';
import { pushMessage, traceAnswer, type PushMessage } from '../../host/web/messages.ts';
import { startPage, type PageServer } from '../../host/web/startPage.ts';
import { ScriptedSession } from './scriptedSession.ts';

const wait = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms));

/** Reads a live stream and keeps what arrived. */
async function look(port: number): Promise<{ messages: PushMessage[]; stop: () => void }> {
  const reply = await new Promise<IncomingMessage>((resolve) =>
    get({ host: '127.0.0.1', port, path: '/api/live' }, resolve),
  );
  const messages: PushMessage[] = [];
  let text = '';
  reply.setEncoding('utf8').on('data', (piece: string) => {
    text += piece;
    const events = text.split('\n\n');
    text = events.pop() ?? '';
    for (const event of events)
      if (event.startsWith('data: ')) messages.push(JSON.parse(event.slice(6)) as PushMessage);
  });
  reply.on('error', () => {});
  return { messages, stop: () => reply.destroy() };
}

describe('those who look on', () => {
  const session = new ScriptedSession();
  let server: PageServer;
  beforeAll(async () => {
    session.start(10);
    server = await startPage(session, { port: 0 });
  });
  afterAll(async () => {
    await server.close();
    await session.close();
  });

  it('get messages that fit the schemas, the greeting first', async () => {
    const { messages, stop } = await look(server.port);
    await wait(1300);
    stop();
    for (const message of messages) expect(() => pushMessage.parse(message)).not.toThrow();
    expect(messages[0].kind).toBe('hello');
    const kinds = new Set(messages.map(({ kind }) => kind));
    for (const kind of ['hello', 'link', 'needles', 'sheet', 'beat']) expect(kinds).toContain(kind);
    const perSecond = messages.filter(({ kind }) => kind === 'needles').length / 1.3;
    expect(perSecond).toBeGreaterThan(30);
    expect(perSecond).toBeLessThan(66);
    const trace = await fetch(`${server.url}api/trace`);
    expect(() => traceAnswer.parse(JSON.parse('{}'))).toThrow();
    expect(traceAnswer.parse(await trace.json()).points.length).toBeGreaterThan(0);
  });

  it('may be a hundred without the link waiting for them', async () => {
    const slowestEmitMs = async (): Promise<number> => {
      let slowest = 0;
      const until = performance.now() + 1000;
      while (performance.now() < until) {
        const before = performance.now();
        session.emit();
        slowest = Math.max(slowest, performance.now() - before);
        await wait(10);
      }
      return slowest;
    };
    const all = await Promise.all(Array.from({ length: 100 }, () => look(server.port)));
    expect(server.viewers()).toBe(100);
    await slowestEmitMs();
    const slowest = await slowestEmitMs();
    const counts = all.map(({ messages }) => messages.filter(({ kind }) => kind === 'needles').length);
    for (const { stop } of all) stop();
    expect(Math.min(...counts)).toBeGreaterThan(6);
    // 100 viewers share about a thousand messages a second.
    expect(Math.max(...counts)).toBeLessThan(60);
    console.log(`slowest sample with 100 viewers: ${slowest.toFixed(1)} ms`);
    await expect.poll(() => server.viewers()).toBe(0);
  });

  it('get the newest value only when they are slow, and cost no memory meanwhile', async () => {
    const socket = connect(server.port, '127.0.0.1');
    socket.on('error', () => {});
    socket.write(`GET /api/live HTTP/1.1\r\nHost: 127.0.0.1:${server.port}\r\n\r\n`);
    await new Promise((resolve) => socket.once('data', resolve));
    socket.pause();
    const beforeBytes = process.memoryUsage().rss;
    // Enough to fill the buffers of the kernel many times over.
    session.azimuthErrorRad = 1 * arcminute;
    const words = 'x'.repeat(20_000);
    for (let index = 0; index < 5000; index += 1) session.announce(`${words}${index}`);
    await wait(300);
    session.announce('the last word');
    let text = '';
    socket.setEncoding('utf8').on('data', (piece: string) => (text = (text + piece).slice(-100_000)));
    socket.resume();
    await expect.poll(() => text, { timeout: 10_000 }).toContain('the last word');
    expect(process.memoryUsage().rss - beforeBytes).toBeLessThan(60e6);
    socket.destroy();
  });
});
