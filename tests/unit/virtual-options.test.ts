// What a virtual mount makes of options: a scene in any capitals, and a word on what is meant for a real mount.
import { describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { openSession } from '../../host/live/openSession.ts';
import { sceneNamed } from '../../host/sceneNamed.ts';

describe('a scene', () => {
  it('is found in whatever capitals, and the scenes are named where there is none', () => {
    expect(sceneNamed(' Orchard')).toBe('orchard');
    expect(sceneNamed('WOOLSHED')).toBe('woolshed');
    expect(() => sceneNamed('toString')).toThrow('There is no scene "toString".');
  });

  it('says that it stands elsewhere, and that mount and clip are ignored', async () => {
    const site = { latitudeRad: 47.25 * degree, longitudeRad: -112.5 * degree, elevationM: 0 };
    const session = await openSession({ virtual: 'Woolshed', isFast: true, site, mount: 'pier' });
    const notes = session.notes().join('\n');
    await session.close();
    expect(session.source).toContain('scene woolshed');
    expect(notes).toMatch(/stands at 47°15'00.0" N, 112°30'00.0" W, as given/);
    expect(notes).toMatch(/--mount and --clip are ignored/);
  });

  it('says neither where nothing was given', async () => {
    const session = await openSession({ virtual: 'woolshed', isFast: true });
    const notes = session.notes().join('\n');
    await session.close();
    expect(notes).not.toMatch(/as given|ignored/);
  });
});
