import { loadavg } from 'node:os';
import type { Browser, CDPSession } from 'playwright-core';
import { arcminute } from '../../calibration/angle.ts';
import { startPage } from '../../host/web/startPage.ts';
import { hasBrowser, inPage, launch, openPage, phone } from '../pages/browser.ts';
import { ScriptedSession } from '../pages/scriptedSession.ts';

const sampleMs = 10;
const frameMs = 1000 / 60;
const trials = 100;
const slowDown = 4;
const watchS = 8;

const wait = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms));
const quantile = (sorted: readonly number[], share: number): number =>
  sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))];
const sorted = (values: readonly number[]): number[] => [...values].sort((a, b) => a - b);

/** Needles that swing, as most people see them. */
const swinging = { reducedMotion: 'no-preference' } as const;

/** From a changed reading on the host to the first frame in which the needle stands elsewhere. */
async function latency(browser: Browser): Promise<void> {
  const session = new ScriptedSession().start(sampleMs);
  const server = await startPage(session, { port: 0 });
  const { page } = await openPage(browser, server.url, phone, swinging);
  await inPage(
    page,
    `globalThis.movedMs = []; new MutationObserver(() => movedMs.push(performance.timeOrigin + performance.now()))
      .observe(document.querySelector('.dial.azimuth .moving'), { attributes: true, attributeFilter: ['transform'] }), 0`,
  );
  await wait(1500);
  const taken: number[] = [];
  for (let trial = 0; trial < trials; trial += 1) {
    // The phase against samples and frames is different every time.
    await wait(400 + 37 * ((trial * 0.618) % 1));
    await inPage(page, 'movedMs.length = 0');
    session.azimuthErrorRad = (trial % 2 ? 10 : 40) * arcminute;
    const changedMs = performance.timeOrigin + performance.now();
    session.emit();
    await wait(250);
    const [first] = await inPage<number[]>(page, 'movedMs');
    if (first !== undefined) taken.push(first - changedMs);
  }
  const times = sorted(taken);
  const limitMs = sampleMs + 2 * frameMs;
  console.log('From the sample on the host to the moved needle (ms):');
  console.table([
    {
      'sample interval': sampleMs,
      trials: times.length,
      median: quantile(times, 0.5).toFixed(1),
      '95 percent within': quantile(times, 0.95).toFixed(1),
      'limit: interval + 2 frames': limitMs.toFixed(1),
      met: quantile(times, 0.95) <= limitMs ? 'yes' : 'NO',
    },
  ]);
  await page.context().close();
  await server.close();
  await session.close();
}

async function metrics(client: CDPSession): Promise<Record<string, number>> {
  const { metrics: list } = await client.send('Performance.getMetrics');
  return Object.fromEntries(list.map(({ name, value }) => [name, value]));
}

/** Work of a frame on a processor slowed down by four, both needles in motion at the full rate of samples. */
async function frames(browser: Browser, rate: number): Promise<Record<string, unknown>> {
  const session = new ScriptedSession();
  let phase = 0;
  const timer = setInterval(() => {
    phase += 0.02;
    session.azimuthErrorRad = 40 * arcminute * Math.sin(phase);
    session.altitudeErrorRad = 4 * arcminute * Math.cos(1.3 * phase);
    session.state = 'moving';
    session.emit();
  }, sampleMs);
  const server = await startPage(session, { port: 0 });
  const { page } = await openPage(browser, server.url, phone, swinging);
  const client = await page.context().newCDPSession(page);
  await client.send('Performance.enable');
  await client.send('Emulation.setCPUThrottlingRate', { rate });
  await wait(2000);
  await inPage(
    page,
    `globalThis.gaps = []; (() => { let last; const next = (ms) => { if (last !== undefined) gaps.push(ms - last); last = ms; requestAnimationFrame(next); }; requestAnimationFrame(next); })(), 0`,
  );
  const before = await metrics(client);
  await wait(watchS * 1000);
  const after = await metrics(client);
  const gaps = sorted(await inPage<number[]>(page, 'gaps'));
  clearInterval(timer);
  const spent = (name: string): string => (((after[name] - before[name]) * 1000) / gaps.length).toFixed(2);
  await page.context().close();
  await server.close();
  await session.close();
  return {
    'slowed down': `${rate}x`,
    'frames/s': (gaps.length / watchS).toFixed(1),
    'median gap ms': quantile(gaps, 0.5).toFixed(1),
    '95 percent gap ms': quantile(gaps, 0.95).toFixed(1),
    'main thread ms/frame': spent('TaskDuration'),
    'script ms/frame': spent('ScriptDuration'),
    'style+layout ms/frame': (Number(spent('RecalcStyleDuration')) + Number(spent('LayoutDuration'))).toFixed(2),
    'budget ms': frameMs.toFixed(1),
  };
}

export async function run(): Promise<void> {
  if (!hasBrowser) return;
  const browser = await launch();
  try {
    console.log(`Load of this machine before: ${loadavg()[0].toFixed(1)}`);
    await latency(browser);
    console.log(
      `Frame budget in headless Chromium (no graphics card), phone 390x844, ${watchS} s, samples every ${sampleMs} ms:`,
    );
    console.table([await frames(browser, 1), await frames(browser, slowDown)]);
  } finally {
    await browser.close();
  }
}
