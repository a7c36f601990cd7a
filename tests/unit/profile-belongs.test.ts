// A calibration is applied where it belongs: another board, another firmware, another warmth; virtual boards have numbers too.
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { boardNumber, eepromOf } from '../../firmware-proto/virtual/boardNumber.ts';
import { FastBoard } from '../../firmware-proto/virtual/fastBoard.ts';
import { ImageBoard } from '../../firmware-proto/virtual/imageBoard.ts';
import { createWorld } from '../../firmware-proto/virtual/world.ts';
import { decodeLine } from '../../firmware-proto/wire.ts';
import { exitCode } from '../../host/failure.ts';
import { openSession } from '../../host/live/openSession.ts';
import type { LiveSession } from '../../host/live/session.ts';
import { rehearseFast } from '../../host/live/rehearseFast.ts';
import { calibrationFor } from '../../host/commands/stepOptions.ts';
import { cautionsOfNamed } from '../../host/store/belongs.ts';
import {
  boardKey,
  calibrationFromFile,
  calibrationToFile,
  writeCalibrationFile,
} from '../../host/store/calibrationFile.ts';
import { saveCalibration, saveSwing } from '../../host/store/profile.ts';
import { exactCalibration } from './swingExact.ts';

const calibration = exactCalibration({ fieldNt: 53_000, dipRad: 1.1 });
const seed = 4;
const { hello } = new FastBoard(createWorld('orchard', { seed }));

let home: string;
let said: string;
let session: LiveSession | undefined;
const before = process.env.LODEPOLE_HOME;
beforeEach(async () => {
  home = await mkdtemp(join(tmpdir(), 'lodepole-belongs-'));
  process.env.LODEPOLE_HOME = home;
  said = '';
  vi.spyOn(process.stderr, 'write').mockImplementation((text) => {
    said += String(text);
    return true;
  });
});
afterEach(async () => {
  vi.restoreAllMocks();
  await session?.close();
  session = undefined;
  if (before === undefined) delete process.env.LODEPOLE_HOME;
  else process.env.LODEPOLE_HOME = before;
  await rm(home, { recursive: true });
});

describe('a calibration that the person named', () => {
  const kept = (board = boardKey(hello)) => calibrationFromFile(calibrationToFile(calibration, { board }));

  it('is refused for another board, chip or orientation, with the reason', () => {
    expect(cautionsOfNamed('board.json', kept(), hello)).toEqual([]);
    for (const other of [
      { ...hello, boardId: '00000001' },
      { ...hello, accelerometer: { ...hello.accelerometer, name: 'OTHER' } },
      { ...hello, magnetometer: { ...hello.magnetometer, orientation: '+Y-X+Z' as const } },
    ])
      expect(() => cautionsOfNamed('board.json', kept(), other)).toThrow(/board\.json is not used: it belongs to/);
  });

  it('is used with a caution for another firmware, and where it does not say whose it is', () => {
    expect(cautionsOfNamed('board.json', kept(), { ...hello, firmware: '9.9.9' })).toMatchObject([
      expect.stringMatching(/firmware 0\.1\.0, and this is 9\.9\.9/),
    ]);
    const unnamed = calibrationFromFile(calibrationToFile(calibration));
    expect(cautionsOfNamed('board.json', unnamed, hello)).toMatchObject([expect.stringMatching(/does not say/)]);
  });

  it('of another board is refused before any needle is shown', async () => {
    const file = join(home, 'other.json');
    const board = { ...boardKey(hello), boardId: '00000001' };
    await writeCalibrationFile(file, calibrationToFile(calibration, { board }));
    await expect(openSession({ virtual: 'orchard', seed, isFast: true, calibration: file })).rejects.toMatchObject({
      code: exitCode.badData,
      message: expect.stringContaining('00000001') as string,
    });
  });
});

describe('warmth', () => {
  const virtual = async (): Promise<LiveSession> => {
    session = await openSession({ virtual: 'orchard', seed, isFast: true });
    await vi.waitUntil(() => session?.latest() !== undefined, { timeout: 10_000 });
    return session;
  };

  it('live needles say when the board has become much colder than at its calibration', async () => {
    const live = await virtual();
    const words = (): string => live.notes?.().join(' ') ?? '';
    expect(words()).not.toMatch(/colder|warmer/);
    live.useAxisModel?.({ ...live.axisModel!()!, temperatureC: 40 }, 'Made on a hot day.');
    await vi.waitUntil(() => /\d\d degrees colder than at its calibration \(limit 8 °C\)/.test(words()), {
      timeout: 3000,
    });
  });

  it('a step on a board that has just answered waits for its warmth, says so, and is less sure', async () => {
    await saveCalibration(hello, calibration, 40);
    session = await openSession({ virtual: 'orchard', seed, isFast: true });
    const used = await calibrationFor({}, { session });
    expect(said).toMatch(/Caution: The board is \d\d degrees colder than at its calibration/);
    expect(used.sigmaTiltRad).toBeGreaterThan(calibration.sigmaTiltRad + 0.005);
  });
});

describe('virtual boards', () => {
  it('say the same of themselves with the processor and without, and another number in every scene', () => {
    const world = createWorld('orchard', { seed });
    const image = new ImageBoard(world, { seed, eeprom: eepromOf(world) });
    let text = '';
    image.onBytes((bytes) => (text += Buffer.from(bytes).toString('latin1')));
    image.stepTo(0.2);
    const hellos = text.split('\n').flatMap((line) => {
      const decoded = decodeLine(line);
      return decoded.kind === 'hello' ? [decoded] : [];
    });
    expect(boardKey(hellos[0])).toEqual(boardKey(hello));
    const numbers = (['orchard', 'woolshed'] as const).flatMap((scene) =>
      [1, 2, 3].map((each) => boardNumber(createWorld(scene, { seed: each }))),
    );
    expect(new Set(numbers).size).toBe(6);
  });

  it('the needles use the swing that was practised with this very board tonight', async () => {
    const { swing } = rehearseFast('orchard', { seed });
    const { place } = createWorld('orchard', { seed }).scene;
    await saveSwing(hello, place, swing);
    session = await openSession({ virtual: 'orchard', seed, isFast: true });
    await vi.waitUntil(() => session?.latest() !== undefined, { timeout: 10_000 });
    expect(session.notes().join(' ')).toMatch(/Axis from the swing that was practised/);
    await session.close();
    session = await openSession({ virtual: 'woolshed', seed, isFast: true });
    await vi.waitUntil(() => session?.latest() !== undefined, { timeout: 10_000 });
    expect(session.notes().join(' ')).toMatch(/Calibrated by a rehearsal/);
  });
});
