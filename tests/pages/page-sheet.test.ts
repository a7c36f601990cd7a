import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, beforeEach, describe, expect, it, onTestFinished, vi } from 'vitest';
import { arcminute, degree } from '../../calibration/angle.ts';
import type { Anchor } from '../../calibration/live/estimator.ts';
import { Failure } from '../../host/failure.ts';
import { driftStars, roughCovariance } from '../../host/steps/drift.ts';
import { parseReadingUnit } from '../../host/steps/readingUnit.ts';
import type { Site } from '../../host/site/site.ts';
import { loadSite } from '../../host/store/site.ts';
import { stepView } from '../../host/web/messages.ts';
import { Night } from '../../host/web/sheet/nightAtPage.ts';
import { nightSteps } from '../../host/web/sheet/nightSteps.ts';
import { Sheet } from '../../host/web/sheet/sheet.ts';
import { cautions } from '../../host/words/cautions.ts';
import { ScriptedSession } from './scriptedSession.ts';

/** A scripted session which remembers what the needles were told to carry on. */
class SiteSession extends ScriptedSession {
  anchored: Anchor | undefined;

  override anchorTo(known: Anchor | undefined): void {
    this.anchored = known;
  }
}

describe('the sheet of steps', () => {
  const home = mkdtempSync(join(tmpdir(), 'lodepole-sheet-'));
  let session: SiteSession;
  let sheet: Sheet;
  const act = (step: string, action: string, fields: Record<string, string> = {}): Promise<void> =>
    sheet.act(step, { action, fields });
  const view = (name: string) => sheet.message().steps.find((step) => step.name === name)!;
  beforeAll(() => {
    process.env.LODEPOLE_HOME = home;
  });
  afterAll(() => rmSync(home, { recursive: true, force: true }));
  beforeEach(() => {
    session = new SiteSession();
    session.emit();
    sheet = new Sheet(nightSteps(new Night(session)));
  });

  it('walks in an order that leaves the board on its clip from the swing on, each step saying what to do', () => {
    const { steps } = sheet.message();
    const names =
      'site tumble horizon level swing standoff nudge lock load balance sights sun drift starNudge answer enough side';
    expect(steps.map(({ name }) => name).join(' ')).toBe(names);
    for (const step of steps) {
      expect(() => stepView.parse(step)).not.toThrow();
      expect(step.toDo[0].length).toBeGreaterThan(10);
      expect(step.howSure.length, step.name).toBeGreaterThan(10);
    }
  });

  it('shows the cautions where they apply', () => {
    expect(view('sights').cautions.join()).toMatch(/Never look at or near the Sun/);
    expect(view('lock').cautions).toEqual([cautions.fingers, cautions.clutch]);
    expect(view('standoff').cautions).toEqual([cautions.spacer]);
    expect(view('swing').cautions).toEqual([cautions.clutch, cautions.counterweight]);
    expect(view('site').cautions).toEqual([cautions.magnetic, cautions.rules]);
    for (const step of ['sights', 'drift']) expect(view(step).cautions).toContain(cautions.rules);
  });

  it('refuses steps and buttons that are not there', async () => {
    await expect(act('focus', 'start')).rejects.toThrow(Failure);
    await expect(act('swing', 'finish')).rejects.toThrow(/not offered/);
    await expect(act('nudge', 'hands-nudge')).rejects.toThrow(/not offered/);
  });

  it('keeps a typed site, and says what is wrong with one that cannot be read', async () => {
    await expect(act('site', 'save', { position: 'behind the shed' })).rejects.toThrow(/does not read/);
    await expect(act('site', 'save', {})).rejects.toThrow(/position is missing/);
    expect(await loadSite()).toBeUndefined();
    await act('site', 'save', { position: "33d30'S 148d0'E", elevation: '1150 ft' });
    const saved = await loadSite();
    expect(saved?.latitudeRad).toBeCloseTo(-33.5 * degree, 9);
    expect(saved?.elevationM).toBeCloseTo(350.5, 1);
    expect(view('site').toDo[0]).toMatch(/^Saved: 33°30/);
  });

  it('holds all against a site that is typed, where the session can move, and drops what rested on the old one', async () => {
    session.start();
    let stands: Site = session.site;
    const moved: Site[] = [];
    Object.defineProperty(session, 'site', { get: () => stands });
    Object.assign(session, {
      moveTo: async (to: Site) => {
        stands = to;
        moved.push(to);
      },
    });
    const night = new Night(session);
    sheet = new Sheet(nightSteps(night));
    await act('horizon', 'keep', { sectors: '330-60:55' });
    await act('enough', 'ask', { field: '60', minutes: '15', exposure: '' });
    await night.believe(night.compassOf(session.latest()!));
    // The same place: the sky that was measured there still counts, and what hides it stays.
    await act('site', 'save', { position: '47.0001, -112.5' });
    expect(night.carried.answer()).toBeDefined();
    expect(view('enough').status).toBe('done');
    expect(view('site').toDo).toHaveLength(1);
    await act('site', 'save', { elevation: '1150 ft' });
    expect(moved[1]).toMatchObject({ latitudeRad: moved[0].latitudeRad });
    expect(moved[1].elevationM).toBeCloseTo(350.5, 1);
    await act('site', 'save', { position: '47.3, -112.5' });
    expect(view('site').toDo.join(' ')).toMatch(/Repeat everything else/);
    expect(view('site').measured[1]).toEqual({ label: 'True north pole', value: '47.30° high' });
    expect(view('horizon').status).toBe('to do');
    expect(view('enough').status).toBe('to do');
    expect(night.carried.answer()).toBeUndefined();
    expect(night.carried.log.entries.at(-1)).toMatchObject({ kind: 'note', replacesEarlier: true });
    expect((await loadSite())?.latitudeRad).toBeCloseTo(47.3 * degree, 9);
    await session.close();
  });

  it('does not call a needle of an uncalibrated board as near as is known', () => {
    Object.assign(session, { azimuthErrorRad: 0.01, sigmaAzimuthErrorRad: 0.3, altitudeErrorRad: 0 });
    session.emit();
    expect(view('nudge').status).toBe('to do');
    expect(view('nudge').toDo[0]).toMatch(/Azimuth: cannot tell yet/);
  });

  it('learns from a counted turn how far a turn goes, and refuses a needle that did not move', async () => {
    session.start();
    await act('nudge', 'count');
    await expect(act('nudge', 'turned-altitude', { turns: '1' })).rejects.toThrow(/did not move/);
    await expect(act('nudge', 'turned-altitude', { turns: 'some' })).rejects.toThrow(/not a number of turns/);
    session.virtual?.turnBolt('altitude', 1.2);
    await act('nudge', 'turned-altitude', { turns: '1' });
    expect(view('nudge').measured[0].value).toMatch(/^1\.\d+°, give or take/);
    expect(view('nudge').toDo[0]).toMatch(
      /Turn the altitude bolt (one|two thirds|three quarters|one and a half).* to lower the axis/,
    );
    await session.close();
  });

  it('takes readings of drift, undoes them, and lets the needles carry the answer on', async () => {
    session.start();
    const start = new Date('2026-11-20T03:00:00Z');
    vi.useFakeTimers({ toFake: ['Date'], now: start });
    try {
      const ranked = driftStars(session.site, start, roughCovariance, 5);
      const pair = (['azimuth', 'altitude'] as const).map(
        (what) => ranked.find(({ tells }) => tells === what)!.star.name,
      );
      await expect(act('drift', 'note', { star: 'Vgea', north: '0', unit: '1' })).rejects.toThrow(/not among/);
      await expect(act('drift', 'note', { star: pair[0], north: 'a bit', unit: '1' })).rejects.toThrow(/not a reading/);
      for (const star of pair) {
        for (let index = 0; index <= 10; index += 1) {
          vi.setSystemTime(Date.now() + 30_000);
          // No drift at all, read to half an arcsecond.
          await act('drift', 'note', { star, north: `${index % 2 ? 0.5 : -0.5}`, unit: '1' });
        }
      }
      await act('drift', 'note', { star: pair[1], north: '400', unit: '1' });
      await act('drift', 'undo', { unit: '1' });
      expect(view('drift').figure).toBe('22 readings');
      await act('drift', 'finish', { unit: '1' });
      expect(view('drift').status).toBe('done');
      // No drift means no error: the compass' 41' east is outweighed.
      const anchoredRad = (): number => Math.abs(session.anchored?.azimuthErrorRad ?? NaN);
      await expect.poll(anchoredRad).toBeLessThan(4 * arcminute);
      expect(session.anchored?.sigmaAzimuthErrorRad).toBeLessThan(10 * arcminute);
    } finally {
      vi.useRealTimers();
    }
    await session.close();
  });

  /** The clock of the computer for the rest of a test. */
  const setClock = (utc: string): void => {
    vi.useFakeTimers({ toFake: ['Date'], now: new Date(utc) });
    onTestFinished(() => void vi.useRealTimers());
  };

  it('takes no star by day: sights and drift say so and from when, and a named star is refused', async () => {
    setClock('2026-11-29T18:00:00Z');
    for (const step of ['sights', 'drift']) {
      expect(view(step).cautions[0]).toBe(cautions.sun);
      expect(view(step).cautions[1]).toMatch(
        /^The Sun is up, \d+\.\d° high: take no star, planet or Moon\. Take stars of the first magnitude from 2026-11-30 \d\d:\d\d UTC on\.$/,
      );
    }
    expect(view('drift').toDo.join(' ')).toContain('The Sun is up');
    await expect(act('drift', 'note', { star: 'sirius', north: '0' })).rejects.toThrow(/Do not take Sirius now/);
    // declination -63: never up in the northern scene
    await expect(act('drift', 'note', { star: 'acrux', north: '0' })).rejects.toMatchObject({
      whatToDo: expect.stringMatching(/^Acrux does not rise 12° high here\. Take .* UTC on instead\.$/),
    });
    vi.setSystemTime(new Date('2026-11-30T06:30:00Z'));
    for (const step of ['sights', 'drift']) expect(view(step).cautions.join(' ')).not.toContain('The Sun is');
    await act('drift', 'note', { star: 'sirius', north: '0' });
    expect(view('drift').figure).toBe('1 reading');
  });

  it('keeps a typed horizon for the stars to come, and refuses one that cannot be read', async () => {
    setClock('2026-11-30T05:00:00Z');
    await expect(act('horizon', 'keep', { sectors: 'the trees' })).rejects.toThrow(/not understood/);
    expect(view('horizon').status).toBe('to do');
    await act('horizon', 'keep', { sectors: '330-60:55, 120-180:20' });
    expect(view('horizon').figure).toBe('2 stretches hidden');
    expect(view('horizon').drawing).toMatchObject({
      kind: 'skyline',
      hidden: [
        { fromAzimuthDeg: 330, toAzimuthDeg: 60, altitudeDeg: 55 },
        { fromAzimuthDeg: 120, toAzimuthDeg: 180, altitudeDeg: 20 },
      ],
    });
    await act('horizon', 'keep', { sectors: '0-360:84' });
    expect(view('drift').toDo.join(' ')).toMatch(/No listed star is visible/);
  });

  it('asks for a shadow, keeps the caution in view, and refuses a Sun that is not up', async () => {
    expect(view('sun').cautions.join(' ')).toMatch(/Never look at or near the Sun/);
    await expect(act('sun', 'read', {})).rejects.toThrow(/angle of the shadow is missing/);
    await expect(act('sun', 'keep')).rejects.toThrow(/not offered/);
    await expect(act('sun', 'read', { shadow: '132.5' })).rejects.toThrow(/board has not answered/);
  });

  it('reads drift in divisions, pixels, parts of a field and arcseconds', () => {
    expect(parseReadingUnit('') / arcminute).toBeCloseTo(1 / 60, 12);
    expect(parseReadingUnit('arcsec') / arcminute).toBeCloseTo(1 / 60, 12);
    expect(parseReadingUnit('division 12') / arcminute).toBeCloseTo(0.2, 12);
    expect(parseReadingUnit('1.9') / arcminute).toBeCloseTo(1.9 / 60, 12);
    expect(parseReadingUnit('pixel 1.9″') / arcminute).toBeCloseTo(1.9 / 60, 12);
    expect(parseReadingUnit('field 40') / arcminute).toBeCloseTo(40, 9);
    for (const bad of ['field', 'division 0', 'parsec 3', '12 apples', 'pixel -2'])
      expect(() => parseReadingUnit(bad), bad).toThrow(/not understood/);
  });

  it('says whether it is good enough, and what is missing to say so', async () => {
    await expect(act('enough', 'ask', {})).rejects.toThrow(/plan is missing/);
    await expect(act('enough', 'ask', { exposure: '-3' })).rejects.toThrow(/Exposure.*not a positive number/);
    await act('enough', 'ask', { field: '60', minutes: '15', exposure: '' });
    expect(view('enough').figure).toBe('good enough');
    await act('enough', 'ask', { exposure: '600', focal: '1000', pixel: '3' });
    expect(view('enough').figure).toBe('not good enough');
    // Common practice: 0.2625" a minute for an arcminute; 600 s at 1000 mm and 3 um (0.62") allow 0.24'.
    expect(view('enough').toDo[1]).toMatch(/^Up to 0\.2\d?′ from the pole/);
  });
});
