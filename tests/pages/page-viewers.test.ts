import { get, type IncomingMessage } from 'node:http';
import { connect } from 'node:net';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { arcminute } from '../../calibration/angle.ts';
import { pushMessage, traceAnswer, type PushMessage } from '../../host/web/messages.ts';
import { startPage, type PageServer } from '../../host/web/startPage.ts';
import { quickest } from '../job/patience.ts';
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

/** When the needles among some messages were sent, by the host's clock. */
const sentS = (messages: readonly PushMessage[]): number[] =>
  messages.flatMap((message) => (message.kind === 'needles' ? [message.sentS] : []));

function meanApartS(messages: readonly PushMessage[]): number {
  const sent = sentS(messages);
  return (sent[sent.length - 1] - sent[0]) / (sent.length - 1);
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
    const kinds = (): string[] => [...new Set(messages.map(({ kind }) => kind))].sort();
    await expect.poll(kinds).toEqual(expect.arrayContaining(['beat', 'hello', 'link', 'needles', 'sheet']));
    const fewestPerS = 30;
    const apartS = await quickest(1 / fewestPerS, async () => {
      const before = messages.length;
      await wait(1000);
      return meanApartS(messages.slice(before));
    });
    stop();
    for (const message of messages) expect(() => pushMessage.parse(message)).not.toThrow();
    expect(messages[0].kind).toBe('hello');
    expect(1 / apartS).toBeGreaterThan(fewestPerS);
    // one frame of a screen apart, however fast the samples come
    expect(1 / meanApartS(messages)).toBeLessThan(66);
    const trace = await fetch(`${server.url}api/trace`);
    expect(() => traceAnswer.parse(JSON.parse('{}'))).toThrow();
    expect(traceAnswer.parse(await trace.json()).points.length).toBeGreaterThan(0);
  });

  it('may be a hundred without the link waiting for them', async () => {
    const slowestEmitMs = async (): Promise<number> => {
      let slowest = 0;
      const until = performance.now() + 500;
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
    const before = all.map(({ messages }) => messages.length);
    const limitMs = 50;
    const slowest = await quickest(limitMs, slowestEmitMs);
    const since = (): PushMessage[][] => all.map(({ messages }, index) => messages.slice(before[index]));
    await expect.poll(() => Math.min(...since().map((messages) => sentS(messages).length))).toBeGreaterThan(6);
    for (const { stop } of all) stop();
    // 100 viewers share about a thousand messages a second.
    for (const messages of since()) expect(1 / meanApartS(messages)).toBeLessThan(12);
    expect(slowest).toBeLessThan(limitMs);
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
    await expect.poll(() => text).toContain('the last word');
    expect(process.memoryUsage().rss - beforeBytes).toBeLessThan(60e6);
    socket.destroy();
  });
});
