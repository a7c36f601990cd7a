// The live `swing` as a person drives it: a board on a real serial binding, a terminal, r and Enter half-way, Enter at the end.
import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { fitTumble } from '../../calibration/tumble/fit.ts';
import { FastBoard } from '../../firmware-proto/virtual/fastBoard.ts';
import { openPseudoTerminal } from '../../firmware-proto/virtual/pseudoTerminal.ts';
import { createWorld } from '../../firmware-proto/virtual/world.ts';
import { tumbleSamples } from '../../firmware-proto/virtual/worldSamples.ts';
import { calibrationToFile, writeCalibrationFile } from '../../host/store/calibrationFile.ts';
import { findAxisModel } from '../../host/store/profile.ts';
import { farOffSigmas } from '../pages/honest.ts';
import { reading, siteOf } from '../statistics/swingSetUps.ts';
import { patience } from './patience.ts';

const hasTools = ['tmux', 'socat'].every((tool) => spawnSync(tool, ['-V']).status === 0);
if (!hasTools) console.log('SKIPPED: the live swing needs tmux and socat (Debian packages of these names).');

const start = fileURLToPath(new URL('../../host/start.mjs', import.meta.url));
const home = mkdtempSync(join(tmpdir(), 'lodepole-live-swing-'));
const tmux = (...options: string[]): string =>
  spawnSync('tmux', ['-S', join(home, 'socket'), ...options], { encoding: 'utf8' }).stdout;
const screen = (): string => tmux('capture-pane', '-p', '-S', '-', '-t', 'swing');
const pause = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms));

async function until(what: string, holds: () => boolean, seconds = 60): Promise<void> {
  const endMs = performance.now() + seconds * 1000 * patience();
  while (!holds()) {
    if (performance.now() > endMs) throw new Error(`${what}: not within ${seconds} s; the window shows:\n${screen()}`);
    await pause(50);
  }
}

/** The world runs so many times faster than the wall clock: hands take their time. */
const hurry = 8;
const stepMs = 10;

describe.skipIf(!hasTools)('a live swing, the board clipped on end for end half-way', () => {
  const world = createWorld('orchard', { seed: 4, tripodIronNt: 60 });
  const { latitudeRad, longitudeRad } = world.scene.place;
  const calibrationFile = join(home, 'calibration.json');
  const answer = join(home, 'swing.json');
  let board: FastBoard;
  let far: { path: string; close(): Promise<void> };
  let timer: NodeJS.Timeout;

  beforeAll(async () => {
    process.env.LODEPOLE_HOME = home;
    const { calibration } = fitTumble(tumbleSamples(world, { samples: 1500 }).map(reading), { site: siteOf(world) });
    if (!calibration) throw new Error('no calibration');
    await writeCalibrationFile(calibrationFile, calibrationToFile(calibration));
    world.advanceTo(world.hands.clip());
    board = new FastBoard(world);
    timer = setInterval(() => board.stepTo(world.timeS + (hurry * stepMs) / 1000), stepMs);
    far = await openPseudoTerminal(join(home, 'port'), board);
  });
  afterAll(async () => {
    tmux('kill-server');
    clearInterval(timer);
    await far.close();
    await board.close();
    delete process.env.LODEPOLE_HOME;
    rmSync(home, { recursive: true, force: true });
  });

  it('coaches rest by rest, takes r as the word for the other face, ends at Enter, and keeps what it found', async () => {
    tmux('new-session', '-d', '-s', 'swing', '-x', '80', '-y', '24', 'sh');
    const command =
      `LODEPOLE_HOME=${home} ${process.execPath} ${start} swing --port ${far.path} --reversed --calibration ${calibrationFile} ` +
      `--lat ${latitudeRad / degree} --lon ${longitudeRad / degree} --json > ${answer}; echo "code $?"`;
    const isAtRest = (): boolean => /1 so far\. Turn the axis about/.test(screen());
    // an overloaded machine may need more than one grace of three seconds until the board answers
    for (let tries = 1; tries <= 6 && !isAtRest(); tries += 1) {
      tmux('send-keys', '-t', 'swing', command, 'Enter');
      await until('the first rest', () => isAtRest() || (screen().match(/^code 69/gm) ?? []).length === tries);
    }
    expect(screen().replace(/\s+/g, ' ')).toContain('r and Enter once the board is clipped on end for end');

    const swing = { arcRad: 240 * degree, dwells: 8, restS: 2 };
    world.hands.swing(swing);
    await until('the first swing', () => !world.hands.busy());
    await until('the word for it', () => /Clip the board on end for end/.test(screen().replace(/\s+/g, ' ')));
    world.hands.reverseClip();
    await until('the board end for end', () => !world.hands.busy());
    tmux('send-keys', '-t', 'swing', 'r', 'Enter');
    await until('the other face', () => /End for end: 1 so far/.test(screen()));
    world.hands.swing(swing);
    await until('the second swing', () => !world.hands.busy());
    await until('its last rests', () => /End for end: ([89]|1\d) so far/.test(screen()));
    tmux('send-keys', '-t', 'swing', '', 'Enter');
    await until('the end', () => /^code (?!69)\d/m.test(screen()));
    expect(screen()).toMatch(/^code 0/m);

    const found = JSON.parse(readFileSync(answer, 'utf8')) as Record<string, number | boolean>;
    expect(found.accepted).toBe(true);
    expect(found.dwells).toBeGreaterThanOrEqual(16);
    const truth = world.truth();
    for (const axis of ['altitude', 'azimuth'] as const) {
      const key = axis === 'altitude' ? 'AltitudeErrorDeg' : 'AzimuthErrorDeg';
      const shown = found[`${axis}ErrorDeg`] as number;
      expect(Math.abs(shown - truth[`${axis}ErrorRad`] / degree)).toBeLessThan(
        farOffSigmas * (found[`sigma${key}`] as number),
      );
    }
    const kept = await findAxisModel(board.hello, { latitudeRad, longitudeRad });
    if (!('model' in kept)) throw new Error(kept.reason);
    expect(kept.model.axisInBoard[0]).toBeCloseTo((found.axisInBoard as unknown as number[])[0], 6);
    expect(kept.model.axisInBoard[0]).toBeLessThan(-0.9);
  });
});
