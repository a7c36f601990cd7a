import { spawn } from 'node:child_process';
import { get } from 'node:http';
import { setFlagsFromString } from 'node:v8';
import { runInNewContext } from 'node:vm';
import { openSession } from '../../host/live/openSession.ts';
import { startPage } from '../../host/web/startPage.ts';

/** Minutes may be given in LODEPOLE_SOAK_MIN. */
const minutes = Number(process.env.LODEPOLE_SOAK_MIN ?? 3);
const warmUpS = 30;
const looks = 6;

const wait = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms));

setFlagsFromString('--expose-gc');
const collectGarbage = runInNewContext('gc') as () => void;

/** One viewer in a process of its own, so that its memory is not ours. */
const viewerScript = `require('node:http').get(process.argv[1], (reply) => reply.on('data', (piece) => process.stdout.write('.')));`;

interface Held {
  atS: number;
  heapMb: number;
  rssMb: number;
  handles: number;
  timers: number;
}

function held(startedMs: number): Held {
  collectGarbage();
  const { heapUsed, rss } = process.memoryUsage();
  const resources = process.getActiveResourcesInfo();
  return {
    atS: Math.round((performance.now() - startedMs) / 1000),
    heapMb: Number((heapUsed / 1e6).toFixed(1)),
    rssMb: Number((rss / 1e6).toFixed(0)),
    handles: resources.filter((name) => name !== 'Timeout' && name !== 'Immediate').length,
    timers: resources.filter((name) => name === 'Timeout').length,
  };
}

/** A viewer that comes and goes while the other stays, twice a second. */
function comeAndGo(url: string): () => void {
  const timer = setInterval(() => {
    const request = get(url, (reply) => reply.once('data', () => request.destroy()));
    request.on('error', () => {});
  }, 500);
  return () => clearInterval(timer);
}

export async function run(): Promise<void> {
  const session = await openSession({ virtual: 'orchard', isFast: true });
  const server = await startPage(session, { port: 0 });
  const live = new URL('api/live', server.url).href;
  const viewer = spawn(process.execPath, ['-e', viewerScript, live], { stdio: ['ignore', 'pipe', 'inherit'] });
  let pushed = 0;
  viewer.stdout.on('data', (dots: Buffer) => (pushed += dots.length));
  const stop = comeAndGo(live);
  let needles = 0;
  session.onNeedles(() => (needles += 1));
  const startedMs = performance.now();
  const rows: Held[] = [];
  try {
    await wait(warmUpS * 1000);
    rows.push(held(startedMs));
    for (let look = 1; look < looks; look += 1) {
      await wait((minutes * 60_000) / (looks - 1));
      rows.push(held(startedMs));
    }
  } finally {
    stop();
    viewer.kill();
    await server.close();
    await session.close();
  }
  await wait(500);
  const end = held(startedMs);
  console.log(
    `The virtual board (seed 1, no emulated processor) with its page for ${minutes} minutes after ${warmUpS} s of warming up:` +
      ` one viewer that stays, one that comes and goes twice a second. ${needles} needles, ${pushed} pieces pushed to the viewer.`,
  );
  console.table([...rows, end]);
  const [first, last] = [rows[0], rows[rows.length - 1]];
  console.table([
    { what: 'heap more than after the warming up, MB', value: (last.heapMb - first.heapMb).toFixed(1), aim: 'under 3' },
    { what: 'memory more than after the warming up, MB', value: last.rssMb - first.rssMb, aim: 'under 20' },
    { what: 'handles more than after the warming up', value: last.handles - first.handles, aim: '2 at most (a visit)' },
    { what: 'timers more than after the warming up', value: last.timers - first.timers, aim: '2 at most (a visit)' },
    { what: 'handles left at the end', value: end.handles, aim: 'those of the standard streams' },
    { what: 'timers left at the end', value: end.timers, aim: '0' },
  ]);
}
