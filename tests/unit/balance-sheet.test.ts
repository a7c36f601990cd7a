import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import { NightLog } from '../../host/night/nightLog.ts';
import { stepView } from '../../host/web/messages.ts';
import { BalanceSheet } from '../../host/web/sheet/balanceSheet.ts';
import type { Night } from '../../host/web/sheet/nightAtPage.ts';

let home: string;
beforeEach(async () => {
  home = await mkdtemp(join(tmpdir(), 'lodepole-'));
  vi.stubEnv('LODEPOLE_HOME', home);
});
afterEach(async () => {
  vi.unstubAllEnvs();
  await rm(home, { recursive: true, force: true });
});

const fields = {
  rig: 'Barn',
  parts: 'tube 5.2 40 180; guide camera 0.9 -330 185',
  weights: '5 90-340',
  shaft: '1.1 170',
  travel: '-60 90',
};
const sheet = (): BalanceSheet =>
  new BalanceSheet({ carried: { log: new NightLog({ isKept: false }) } } as unknown as Night);
const act = (step: BalanceSheet, action: string, typed: Record<string, string> = fields) =>
  step.act({ action, fields: typed });

it('balances what was typed, in the order that works, with a drawing to scale', async () => {
  const step = sheet();
  expect(stepView.parse(step.view()).status).toBe('to do');
  await act(step, 'balance');
  const view = stepView.parse(step.view());
  expect(view).toMatchObject({ status: 'done', figure: 'counterweight 183 mm' });
  expect(view.cautions[0]).toMatch(/^Hold the tube/);
  expect(view.toDo).toContain('Slide the tube 15 mm toward the sky end.');
  expect(view.drawing).toMatchObject({
    kind: 'rig',
    shiftMm: expect.closeTo(89 / 6.1, 6),
    shaftEndMm: 340,
    parts: [{ label: 'tube' }, { label: 'guide camera', alongMm: -330, outMm: 185 }],
    weights: [{ massKg: 5, atMm: expect.closeTo(183.1, 1) }],
  });
});

it('keeps a rig and takes it again by its name', async () => {
  await act(sheet(), 'keep');
  const again = sheet();
  await act(again, 'take', { rig: 'barn' });
  expect(again.view().figure).toBe('counterweight 183 mm');
  expect(again.view().fields.map(({ value }) => value)).toEqual(['Barn', ...Object.values(fields).slice(1)]);
});

it('says what would cure a rig that cannot be balanced, with the tube drawn at the end of its travel', async () => {
  const step = sheet();
  await act(step, 'balance', { ...fields, travel: '-60 5' });
  const view = stepView.parse(step.view());
  expect(view.status).toBe('refused');
  expect(view.toDo.join(' ')).toContain('Use a dovetail 9.6 mm longer toward the eyepiece end.');
  expect(view.drawing).toMatchObject({ shiftMm: expect.closeTo(5, 6) });
});

it('refuses what it cannot read, with an example', async () => {
  await expect(act(sheet(), 'balance', { ...fields, parts: 'tube' })).rejects.toThrow(/part "tube" is not understood/);
  await expect(act(sheet(), 'balance', { ...fields, parts: 'tube 0 40 180' })).rejects.toThrow(/above zero/);
  await expect(act(sheet(), 'balance', { ...fields, weights: '5' })).rejects.toThrow(/counterweight "5"/);
  await expect(act(sheet(), 'balance', { ...fields, travel: '' })).rejects.toThrow(/travel/);
  await expect(act(sheet(), 'take', { rig: 'none' })).rejects.toThrow(/no saved rig/);
});
