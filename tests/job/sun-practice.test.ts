// Sun by shadow on a virtual mount, at night by the clock on the wall.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it, onTestFinished, vi } from 'vitest';
import { runSun } from '../../host/commands/runSun.ts';
import type { SightOptions } from '../../host/commands/sightOptions.ts';
import { cautions } from '../../host/words/cautions.ts';

async function sun(
  options: Partial<SightOptions>,
): Promise<{ code: number; answer: Record<string, unknown>; said: string[] }> {
  const said: string[] = [];
  const printed: string[] = [];
  const spies = [
    vi.spyOn(process.stderr, 'write').mockImplementation((text) => said.push(String(text)) > 0),
    vi.spyOn(process.stdout, 'write').mockImplementation((text) => printed.push(String(text)) > 0),
  ];
  try {
    const code = await runSun({ sun: true, json: true, at: 'now', virtual: 'orchard', ...options });
    return { code, answer: JSON.parse(printed.join('')) as Record<string, unknown>, said: said.join('').split('\n') };
  } finally {
    for (const spy of spies) spy.mockRestore();
  }
}

describe('sight --sun --virtual', () => {
  it('works at any hour without and with the shadow, cautions first, and keeps nothing', async () => {
    const home = mkdtempSync(join(tmpdir(), 'lodepole-sun-'));
    vi.stubEnv('LODEPOLE_HOME', home);
    // 23 h by local time at the orchard
    vi.useFakeTimers({ toFake: ['Date'], now: new Date('2026-11-29T07:00:00Z'), shouldAdvanceTime: true });
    onTestFinished(() => {
      vi.useRealTimers();
      vi.unstubAllEnvs();
      rmSync(home, { recursive: true });
    });
    const { code, answer, said } = await sun({});
    expect(code).toBe(0);
    expect(said.slice(0, 2)).toEqual([cautions.sun, cautions.shadow].map((caution) => `Caution: ${caution}`));
    expect(said.join('\n')).toMatch(/The virtual Sun stands as at 2026-11-29 1\d:\d\d UTC, whatever the hour now\./);
    expect(answer.sunAltitudeDeg).toBeGreaterThan(7.5);
    const { azimuthErrorDeg } = answer.truth as Record<string, number>;
    const off = (answer.azimuthErrorDeg as number) - azimuthErrorDeg;
    expect(Math.abs(off) / (answer.sigmaAzimuthErrorDeg as number)).toBeLessThan(4.5);

    // what a person reads on the scale that was drawn
    const [scale, pointer] = said.slice(said.findIndex((line) => line.includes('. . . .'))).slice(0, 2);
    const labels = said[said.indexOf(scale) - 1];
    const firstLabel = Number(labels.trim().split(/\s+/)[0]);
    const shadow = firstLabel + (pointer.indexOf('^') - scale.indexOf('|')) / 2;
    const at = /--at (\S+)/.exec(said.join('\n'))![1];
    const again = await sun({ at, shadow: `${shadow}` });
    expect(again.answer.timeUtc).toBe(at.replace('Z', '.000Z'));
    expect(again.said.join('\n')).toMatch(/You give \d+\.\d; the virtual eye reads/);
    expect(Math.abs((again.answer.azimuthErrorDeg as number) - azimuthErrorDeg)).toBeLessThan(4);

    await expect(sun({ keep: true })).rejects.toThrow(/keeps nothing/);
  });
});
