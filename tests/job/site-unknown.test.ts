// A board at its cable whose site nobody has told: it is shown without needles, tumbled, and placed by the page.
import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { FastBoard } from '../../firmware-proto/virtual/fastBoard.ts';
import { openPseudoTerminal } from '../../firmware-proto/virtual/pseudoTerminal.ts';
import { createWorld } from '../../firmware-proto/virtual/world.ts';
import { exitCode } from '../../host/failure.ts';
import { loadSite } from '../../host/store/site.ts';
import { startPage } from '../../host/web/startPage.ts';
import { runOnBoard } from './lodepole.ts';
import { opened } from './opened.ts';

const hasSocat = spawnSync('socat', ['-V']).status === 0;
if (!hasSocat) console.log('SKIPPED: a board whose site is unknown needs socat (Debian package socat).');

describe.skipIf(!hasSocat)('a board whose site is not known', () => {
  const home = mkdtempSync(join(tmpdir(), 'lodepole-unplaced-'));
  const port = join(home, 'board');
  const world = createWorld('woolshed', { seed: 4 });
  const board = new FastBoard(world);
  const { latitudeRad, longitudeRad } = world.scene.place;
  let far: { close(): Promise<void> };
  beforeAll(async () => {
    process.env.LODEPOLE_HOME = home;
    board.start();
    far = await openPseudoTerminal(port, board);
  });
  afterAll(async () => {
    await far.close();
    await board.close();
    delete process.env.LODEPOLE_HOME;
    rmSync(home, { recursive: true, force: true });
  });

  it('shows no needle until the page is told the site, and from then on does', async () => {
    const session = await opened({ port, mayLackSite: true });
    const page = await startPage(session, { port: 0, show: () => {} });
    const messages = async (): Promise<Record<string, unknown>[]> => {
      const answer = (await (await fetch(`${page.url}api/now`)).json()) as { messages: Record<string, unknown>[] };
      return answer.messages;
    };
    try {
      await vi.waitUntil(() => session.link().state === 'streaming', { timeout: 30_000 });
      expect(session.notes().join(' ')).toMatch(/Where the mount stands is not known yet: no needles.*--lat/);
      const before = await messages();
      expect(before).toContainEqual(expect.objectContaining({ kind: 'hello', hasSite: false }));
      expect(before.map(({ kind }) => kind)).not.toContain('needles');

      const post = (step: string, body: unknown): Promise<Response> =>
        fetch(`${page.url}api/steps/${step}`, {
          method: 'POST',
          headers: { 'content-type': 'application/json', origin: page.url.slice(0, -1) },
          body: JSON.stringify(body),
        });
      // what needs a site says so, and loses nothing
      expect(await (await post('level', { action: 'start', fields: {} })).json()).toHaveProperty('error');
      const position = `${latitudeRad / degree}, ${longitudeRad / degree}`;
      const kept = await post('site', { action: 'save', fields: { position, elevation: '' } });
      expect(kept.ok).toBe(true);
      await vi.waitUntil(() => session.latest() !== undefined, { timeout: 30_000 });
      expect(await messages()).toContainEqual(expect.objectContaining({ kind: 'hello', hasSite: true, pole: 'south' }));
      expect((await loadSite())?.latitudeRad).toBeCloseTo(latitudeRad, 9);
    } finally {
      await page.close();
      await session.close();
    }
  });

  it('is tumbled without one, but streams no JSON without one', async () => {
    rmSync(join(home, 'site.json'), { force: true });
    const tumble = await runOnBoard(home, ['tumble', '--port', port, '--seconds', '1', '--json']);
    expect(tumble.code).toBe(exitCode.refused);
    expect(JSON.parse(tumble.stdout)).toMatchObject({ accepted: false, sensors: 'both' });
    const watch = await runOnBoard(home, ['watch', '--port', port, '--json', '--seconds', '1']);
    expect(watch).toMatchObject({ code: exitCode.usage, stderr: expect.stringMatching(/site is not known/) });
  });
});
