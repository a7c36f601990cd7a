// The board can be in one place only: no step of the page gathers while another does, nor from a board that is off its clip.
import { describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { identity3 } from '../../calibration/vector.ts';
import type { LiveSession } from '../../host/live/session.ts';
import { LevelSheet } from '../../host/web/sheet/levelSheet.ts';
import { Night } from '../../host/web/sheet/nightAtPage.ts';
import { StandoffSheet } from '../../host/web/sheet/standoffSheet.ts';

const none = { bias: [0, 0, 0], matrix: identity3 } as const;
const sessionWith = (altitudeErrorDeg: number): LiveSession =>
  ({
    site: { latitudeRad: 47 * degree, longitudeRad: -1.7, elevationM: 300 },
    axisModel: () => ({ correction: { accelerometer: none, magnetometer: none }, axisInBoard: [1, 0, 0] }),
    latest: () => ({
      altitudeErrorRad: altitudeErrorDeg * degree,
      sigmaAltitudeErrorRad: 0.001,
      isOffClip: altitudeErrorDeg < -20,
    }),
    onSample: () => () => {},
    onNeedles: () => () => {},
    notes: () => [],
    takeBoard: () => {},
  }) as unknown as LiveSession;
const press = (action: string) => ({ action, fields: {} });

describe('a step of the page', () => {
  it('does not start while another is under way, and does once that is given up', async () => {
    const night = new Night(sessionWith(1));
    const [level, standoff] = [new LevelSheet(night), new StandoffSheet(night)];
    await level.act(press('start'));
    await expect(standoff.act(press('start'))).rejects.toThrow('Level is under way');
    expect(standoff.view().status).toBe('to do');
    await level.act(press('start'));
    expect(level.view().status).toBe('under way');
    await level.act(press('cancel'));
    await standoff.act(press('start'));
    expect(standoff.view().status).toBe('under way');
  });

  it('measures no stand-off with a board that is off its clip', async () => {
    const standoff = new StandoffSheet(new Night(sessionWith(-40)));
    await expect(standoff.act(press('start'))).rejects.toThrow('off its clip');
  });
});
