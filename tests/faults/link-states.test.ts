import { afterEach, beforeEach, describe, expect, test, vi, type TestContext } from 'vitest';
import { encodeAcknowledged, encodeHello, sealLine } from '../../firmware-proto/wire.ts';
import { exitCode, Failure } from '../../host/failure.ts';
import { BoardLink } from '../../host/link/boardLink.ts';
import type { BytePort, PortCandidate } from '../../host/link/bytePort.ts';
import type { LinkStatus } from '../../host/link/linkStatus.ts';
import { patience } from '../job/patience.ts';
import { testHello, testSample, until as untilByTheWall } from './link-farEnd.ts';

/** Lets the clock of the test go on, which is the only one that link and ports know. */
const wait = async (ms: number): Promise<void> => void (await vi.advanceTimersByTimeAsync(ms));

/** Waits by that clock until `holds` is true, or throws; returns the seconds it took. */
async function until(what: string, holds: () => boolean, limitS = 5): Promise<number> {
  const startMs = performance.now();
  while (!holds()) {
    if (performance.now() - startMs > limitS * 1000) throw new Error(`${what}: not within ${limitS} s`);
    await wait(5);
  }
  return (performance.now() - startMs) / 1000;
}

async function firstRoundOf(link: BoardLink): Promise<boolean> {
  let answered: boolean | undefined;
  void link.firstRound.then((found) => (answered = found));
  await until('the first round', () => answered !== undefined, 20);
  return answered!;
}

/** A port whose far end the test plays. */
class FakePort implements BytePort {
  listener: ((bytes: Uint8Array) => void) | undefined;
  closeListener: ((reason: string) => void) | undefined;
  written = '';
  isClosed = false;
  closes = async (): Promise<void> => {};
  private timer: NodeJS.Timeout | undefined;

  onBytes(listener: (bytes: Uint8Array) => void): void {
    this.listener = listener;
  }
  onClose(listener: (reason: string) => void): void {
    this.closeListener = listener;
  }
  write(text: string): void {
    this.written += text;
  }
  async close(): Promise<void> {
    this.isClosed = true;
    this.stop();
    await this.closes();
  }
  say(text: string): void {
    this.listener?.(Buffer.from(text, 'latin1'));
  }
  /** Says something every 10 ms. */
  stream(line: (tick: number) => string): this {
    let tick = 0;
    this.timer = setInterval(() => {
      this.say(line(tick));
      tick += 1;
    }, 10);
    return this;
  }
  stop(): void {
    clearInterval(this.timer);
  }
}

const sound = (tick: number): string => (tick === 0 ? encodeHello(testHello) : '') + testSample(tick);

/** A link over ports made by `make`, one for each opening, and what it announced. */
function linked({ onTestFinished }: TestContext, make: (opening: number) => FakePort | Failure) {
  const ports: FakePort[] = [];
  const candidate: PortCandidate = {
    name: '/dev/fake',
    open: async () => {
      const port = make(ports.length);
      if (port instanceof Failure) throw port;
      ports.push(port);
      return port;
    },
  };
  const link = new BoardLink({ candidates: async () => [candidate] });
  const statuses: LinkStatus[] = [];
  link.onStatus((status) => statuses.push(status));
  onTestFinished(() => link.close());
  link.start();
  return { link, ports, statuses, states: () => statuses.map(({ state }) => state) };
}

const isStreaming = (link: BoardLink) => (): boolean => link.status().state === 'streaming';

describe('the link as a state machine', () => {
  beforeEach(() => {
    vi.useFakeTimers({ toFake: ['setTimeout', 'clearTimeout', 'setInterval', 'clearInterval', 'performance', 'Date'] });
  });
  afterEach(() => {
    vi.useRealTimers();
  });

  test('finds a board: opening, waiting, streaming; hello is asked only once the port is open', async (context) => {
    const { link, ports, states } = linked(context, () => new FakePort().stream(sound));
    expect(await firstRoundOf(link)).toBe(true);
    await until('streaming', isStreaming(link));
    expect(states()).toEqual(['opening', 'waiting', 'streaming']);
    expect(ports[0].written).toBe('hello\n');
    expect(link.source()).toBe('board 3F2A91C4 on /dev/fake');
  });

  test('a stream that stops without a word is noticed within 1.5 s, and a new port object takes over', async (context) => {
    const { link, ports } = linked(context, () => new FakePort().stream(sound));
    await until('streaming', isStreaming(link));
    ports[0].stop();
    expect(await until('noticed', () => link.status().state === 'silent')).toBeLessThan(1.5);
    expect(link.status().words).toContain('stopped');
    expect(await until('resumed', isStreaming(link))).toBeLessThan(2);
    expect(ports).toHaveLength(2);
    expect(ports[0].isClosed).toBe(true);
    expect(link.status().counters.portsLost).toBe(1);
  });

  test('half a line of the old port never joins the new one', async (context) => {
    const { link, ports } = linked(context, () => new FakePort().stream(sound));
    await until('streaming', isStreaming(link));
    ports[0].say(testSample(3).slice(0, 15));
    ports[0].closeListener?.('gone');
    expect(link.status().state).toBe('lost');
    await until('resumed', isStreaming(link));
    await wait(50);
    const { badCrc, torn, beforeFirst } = link.status().counters;
    expect({ badCrc, torn, beforeFirst }).toEqual({ badCrc: 0, torn: 0, beforeFirst: 0 });
  });

  test('bytes of a port that was given up are not listened to', async (context) => {
    const { link, ports } = linked(context, () => new FakePort().stream(sound));
    await until('streaming', isStreaming(link));
    ports[0].closeListener?.('gone');
    await until('resumed', isStreaming(link));
    const { samples } = link.status().counters;
    ports[0].say(encodeHello({ ...testHello, boardId: 'FFFFFFFF' }) + testSample(77));
    expect(link.hello()?.boardId).toBe('3F2A91C4');
    expect(link.status().counters.samples).toBe(samples);
  });

  test('bytes that are not lines do not keep a dead stream alive', async (context) => {
    const { link, ports } = linked(context, () => new FakePort().stream(sound));
    await until('streaming', isStreaming(link));
    ports[0].stop();
    ports[0].stream(() => '\xfe\x00\xe6');
    expect(await until('noticed', () => link.status().state === 'silent')).toBeLessThan(1.5);
    expect(link.status().words).toContain('not text');
  });

  test('a stream that stops is noticed in a process that is always late, too', async (context) => {
    const { link, ports } = linked(context, () => new FakePort().stream(sound));
    await until('streaming', isStreaming(link));
    ports[0].stop();
    const onTime = performance.now.bind(performance);
    let lateMs = 0;
    const clock = vi.spyOn(performance, 'now').mockImplementation(() => onTime() + lateMs);
    context.onTestFinished(() => clock.mockRestore());
    for (let tick = 0; tick < 4; tick += 1) {
      lateMs += 550;
      await wait(100);
    }
    expect(link.status().counters.portsLost).toBe(1);
  });

  test('a self-test makes samples pause without alarm', async (context) => {
    const { link, ports, states } = linked(context, () => new FakePort().stream(sound));
    const replies: string[] = [];
    link.onReply((reply) => replies.push(reply.kind));
    await until('streaming', isStreaming(link));
    ports[0].stop();
    link.send({ request: 'selftest' });
    await wait(1700);
    ports[0].say(sealLine('T accel-id pass 51 51 51') + '\r\n' + encodeAcknowledged({ request: 'selftest' }));
    expect(ports[0].written).toBe('hello\nselftest\n');
    expect(states()).toEqual(['opening', 'waiting', 'streaming']);
    expect(replies).toEqual(['test', 'acknowledged']);
  });

  const silences: [string, (tick: number) => string, RegExp, LinkStatus['state']][] = [
    ['nothing arrives', () => '', /nothing arrives.*cable/, 'silent'],
    ['wrong speed', (n) => '\xfe\x80\xf8\x00\xe6\x1c'.slice(n % 6), /not text.*115200/, 'silent'],
    ['another instrument', () => '$GPGGA,123519,4807.038,N*47\r\n', /not the board's.*--port/, 'silent'],
    ['samples without hello', (n) => testSample(n), /does not identify itself.*reset/, 'silent'],
    ['damaged lines', (n) => testSample(n).replace('1018', '1081'), /damaged.*cable/, 'silent'],
    ['another protocol', () => sealLine('H proto=2 shape=round'), /version 2.*version 1.*no needle/, 'refused'],
    [
      'a left-handed board',
      () =>
        encodeHello(testHello).replace(
          /.*/,
          sealLine('H proto=1 fw=1 board=00000000 acc=A accid=33 accdir=+Y+X+Z').trimEnd(),
        ),
      /identify itself correctly.*left-handed/,
      'silent',
    ],
  ];
  test.for(silences)('tells the kinds of silence apart: %s', async ([, line, words, state], context) => {
    const { link, statuses } = linked(context, () => new FakePort().stream(line));
    expect(await firstRoundOf(link)).toBe(false);
    expect(statuses.at(-1)?.words).toMatch(words);
    expect(statuses.at(-1)?.state).toBe(state);
    expect(link.status().counters.samples).toBe(0);
  });

  test('goes on to the next port when one does not answer, and asks for the list anew in every round', async (context) => {
    const dumb = new FakePort();
    const answering = new FakePort();
    let lists = 0;
    const link = new BoardLink({
      candidates: async () => {
        lists += 1;
        return lists < 3
          ? []
          : [
              { name: '/dev/dumb', open: async () => dumb },
              { name: '/dev/board', open: async () => answering.stream(sound) },
            ];
      },
    });
    context.onTestFinished(() => link.close());
    link.start();
    expect(await firstRoundOf(link)).toBe(false);
    await until('streaming', isStreaming(link), 6);
    expect(lists).toBe(3);
    expect(dumb.isClosed).toBe(true);
    expect(link.source()).toContain('/dev/board');
  });

  test('a port that cannot be opened is told with what to do, and tried again', async (context) => {
    const denied = new Failure(exitCode.noBoard, '/dev/fake may not be opened.', 'Run "x".');
    let tries = 0;
    const { link, states } = linked(context, () => ((tries += 1) < 3 ? denied : new FakePort().stream(sound)));
    await until('refused', () => link.status().state === 'refused');
    expect(link.status().words).toBe('/dev/fake may not be opened. Run "x".');
    await until('streaming', isStreaming(link));
    expect(states()).toEqual(['opening', 'refused', 'streaming']);
  });

  test('closing while a port is opening closes it as soon as it is open', async () => {
    const port = new FakePort();
    const link = new BoardLink({
      candidates: async () => [
        { name: '/dev/slow', open: () => new Promise((resolve) => setTimeout(resolve, 200, port)) },
      ],
    });
    link.start();
    await wait(20);
    await link.close();
    await wait(250);
    expect(port.isClosed).toBe(true);
    expect(port.listener).toBeUndefined();
  });

  test('another board on the same port is told by its id', async (context) => {
    const { link, ports } = linked(context, (opening) =>
      new FakePort().stream((n) =>
        n === 0 && opening > 0 ? encodeHello({ ...testHello, boardId: '00C0FFEE' }) : sound(n),
      ),
    );
    const ids: string[] = [];
    link.onHello(({ boardId }) => ids.push(boardId));
    await until('streaming', isStreaming(link));
    ports[0].closeListener?.('gone');
    await until('resumed', isStreaming(link));
    expect(ids).toEqual(['3F2A91C4', '00C0FFEE']);
    expect(link.source()).toContain('00C0FFEE');
    expect(link.status().words).toContain('another board than before (3F2A91C4)');
  });
});

describe('the link and its process', () => {
  test('a pause of this very process is no silence of the board', async (context) => {
    // Bytes of a real port come after the timers' turn, and so do these.
    const port = new FakePort();
    const { link, states } = linked(context, () => {
      port.stream((n) => {
        setImmediate(() => port.say(sound(n)));
        return '';
      });
      return port;
    });
    await untilByTheWall('streaming', isStreaming(link));
    const end = performance.now() + 1600;
    while (performance.now() < end);
    await new Promise((resolve) => setTimeout(resolve, 300));
    expect(states()).toEqual(['opening', 'waiting', 'streaming']);
  });

  test('no listener is left after closing, and no timer', async (context) => {
    const timers = (): number => process.getActiveResourcesInfo().filter((kind) => kind === 'Timeout').length;
    const before = timers();
    const { link, ports } = linked(context, () => new FakePort().stream(sound));
    let count = 0;
    link.onSample(() => (count += 1));
    await untilByTheWall('streaming', isStreaming(link));
    const start = performance.now();
    await link.close();
    expect(performance.now() - start).toBeLessThan(500 * patience());
    const atClose = count;
    ports[0].say(testSample(500));
    expect(count).toBe(atClose);
    expect(timers()).toBe(before);
  });
});
