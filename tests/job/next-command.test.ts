import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { run } from './lodepole.ts';

let home: string;
beforeAll(async () => {
  home = await mkdtemp(join(tmpdir(), 'lodepole-'));
});
afterAll(() => rm(home, { recursive: true, force: true }));

it('names the next step with its reason and command, and goes on as steps are done', async () => {
  const asked = async (): Promise<Record<string, unknown>> => JSON.parse((await run(home, ['next', '--json'])).stdout);
  expect(await asked()).toEqual({
    schema: 1,
    kind: 'next',
    step: 'site',
    reason: 'The place of the mount gives the direction of the pole and of magnetic north.',
    command: 'lodepole site --place "NAME OF YOUR TOWN" --save',
  });
  const saved = await run(home, ['site', '--lat', '47.25', '--lon', '8.3E', '--save']);
  expect(saved.stderr).toMatch(/Next: The board has not been calibrated.*\n {6}lodepole tumble\n$/);
  expect((await run(home, ['site', '--json'])).stderr).not.toContain('Next:');
  expect(await asked()).toMatchObject({ step: 'tumble', command: 'lodepole tumble' });
});

it('follows the log of tonight, and stops for a plan that is met', async () => {
  const estimate = {
    altitudeErrorDeg: 0.02,
    azimuthErrorDeg: -0.03,
    sigmaAltitudeErrorDeg: 0.02,
    sigmaAzimuthErrorDeg: 0.04,
  };
  const timeUtc = new Date(Date.now() - 600_000).toISOString();
  const entries = [{ kind: 'sights', timeUtc, ...estimate, correlation: 0.2 }];
  await writeFile(join(home, 'night.json'), JSON.stringify({ schema: 1, entries }));
  expect(JSON.parse((await run(home, ['next', '--json'])).stdout)).toMatchObject({ step: 'enough' });
  const plan = await run(home, ['enough', '--field', '60', '--minutes', '30']);
  expect(plan.stderr).toContain('good enough for a target that stays 30 minutes in a field of 60′, driven');
  expect(JSON.parse((await run(home, ['next', '--json'])).stdout)).toMatchObject({ step: 'lock' });
  // who observes with bolts that were not locked tonight is not asked again
  expect((await run(home, ['side', '--list'])).stderr).toContain('lodepole night --html night.html');
});

it('tells what a nudge is expected to bring', async () => {
  const away = join(home, 'away');
  await run(away, ['site', '--lat', '47.25', '--lon', '8.3E', '--save']);
  const entry = {
    kind: 'sights',
    timeUtc: new Date(Date.now() - 600_000).toISOString(),
    altitudeErrorDeg: 0.2,
    azimuthErrorDeg: -0.03,
    sigmaAltitudeErrorDeg: 0.02,
    sigmaAzimuthErrorDeg: 0.04,
    correlation: 0.2,
  };
  await writeFile(join(away, 'night.json'), JSON.stringify({ schema: 1, entries: [entry] }));
  await run(away, ['enough', '--exposure', '300', '--focal', '520', '--pixel', '3.8']);
  const nudge = JSON.parse((await run(away, ['next', '--json'])).stdout);
  expect(nudge).toMatchObject({ step: 'nudge' });
  expect(nudge.expectedNowArcmin).toBeGreaterThan(12);
  expect(nudge.expectedAfterArcmin).toBeLessThan(7);
});
