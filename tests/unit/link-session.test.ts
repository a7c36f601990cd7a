// The session between a link and the views: which model it takes for which board, what it tells, and what it hands on.
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import type { AxisModel } from '../../calibration/axisModel.ts';
import type { Knob } from '../../calibration/knob.ts';
import { truePole } from '../../calibration/polarAxis.ts';
import { scenes } from '../../firmware-proto/virtual/scenes.ts';
import { createWorld } from '../../firmware-proto/virtual/world.ts';
import type { Hello, Request } from '../../firmware-proto/wire.ts';
import { Failure } from '../../host/failure.ts';
import type { BoardLink } from '../../host/link/boardLink.ts';
import type { BoardSample } from '../../host/link/boardSample.ts';
import { Listeners } from '../../host/link/listeners.ts';
import type { LinkStatus } from '../../host/link/linkStatus.ts';
import { LinkSession, type Placement } from '../../host/live/linkSession.ts';
import type { KeptKnobs } from '../../host/store/knobs.ts';
import { north, readingAt, testModel, type Pose } from './liveSamples.ts';

const helloOf = (boardId: string): Hello => ({ kind: 'hello', boardId }) as Hello;
const site = { latitudeRad: 47 * degree, longitudeRad: -112.5 * degree, elevationM: 300 };
const target = { pole: truePole(47 * degree), variationRad: 14 * degree, sigmaVariationRad: 0.005 };
const knob: Knob = {
  radPerTurn: 1.4 * degree,
  sigmaRadPerTurn: 0.01 * degree,
  backlashTurns: 0.2,
  sigmaBacklashTurns: 0.02,
  lastWay: 1,
};

/** A link whose board says what a test tells it to. */
class ToldLink {
  readonly samples = new Listeners<BoardSample>();
  readonly hellos = new Listeners<Hello>();
  readonly statuses = new Listeners<LinkStatus>();
  readonly lines = new Listeners<{ line: string; arrivalS: number }>();
  readonly sent: Request[] = [];
  readonly closed: string[] = [];
  newest: Hello | undefined;
  onSample = (listener: (sample: BoardSample) => void) => this.samples.add(listener);
  onHello = (listener: (hello: Hello) => void) => this.hellos.add(listener);
  onStatus = (listener: (status: LinkStatus) => void) => this.statuses.add(listener);
  onSoundLine = (listener: (heard: { line: string; arrivalS: number }) => void) => this.lines.add(listener);
  hello = (): Hello | undefined => this.newest;
  status = (): LinkStatus => ({ state: 'streaming', words: 'It streams.', counters: {} });
  send = (request: Request): void => void this.sent.push(request);
  close = async (): Promise<void> => void this.closed.push('link');
  private count = 0;

  say(boardId: string): void {
    this.newest = helloOf(boardId);
    this.hellos.emit(this.newest);
  }

  /** Fifty readings a second of a board that stands so. */
  stream(seconds: number, pose: Pose, more: Partial<BoardSample> = {}): void {
    const reading = readingAt(north, pose);
    for (let i = 0; i < 50 * seconds; i += 1) {
      this.count += 1;
      const timeS = this.count / 50;
      this.samples.emit({ ...reading, arrivalS: timeS, boardS: timeS, sequence: this.count, ...more });
    }
  }
}

const asLink = (link: ToldLink): BoardLink => link as unknown as BoardLink;
const still: Pose = { altitudeErrorDeg: 1.5, azimuthErrorDeg: -0.5 };
const settled = (): Promise<void> => new Promise((resolve) => setImmediate(resolve));

describe('a live session', () => {
  let link: ToldLink;
  let asked: string[];
  let session: LinkSession;
  const modelFor = async ({ boardId }: Hello): Promise<{ model: AxisModel; notes: string[] }> => {
    asked.push(boardId);
    return { model: { ...testModel(north), temperatureC: 20 }, notes: [`Model of ${boardId}.`] };
  };
  const opened = (more: Partial<ConstructorParameters<typeof LinkSession>[0]> = {}): LinkSession => {
    session = new LinkSession({
      link: asLink(link),
      source: () => 'a board of a test',
      site,
      target,
      notes: ['A place.'],
      modelFor,
      ...more,
    });
    return session;
  };
  beforeEach(() => {
    link = new ToldLink();
    asked = [];
  });
  afterEach(() => session.close());

  it('shows nothing before a board has said who it is, then needles by the model of that board', async () => {
    opened();
    link.stream(0.2, still);
    expect([session.latest(), session.axisModel(), session.hello()]).toEqual([undefined, undefined, undefined]);
    link.say('A1');
    await settled();
    const told: number[] = [];
    const stop = session.onNeedles(({ altitudeErrorRad }) => told.push(altitudeErrorRad / degree));
    link.stream(0.2, still);
    expect(told).toHaveLength(10);
    expect(told[9]).toBeCloseTo(1.5, 6);
    expect(session.latest()).toMatchObject({ isAnchored: false, isOffClip: false });
    expect(session.latest()).not.toHaveProperty('truth', expect.anything());
    stop();
    link.stream(0.2, still);
    expect(told).toHaveLength(10);
    expect(session.hello()?.boardId).toBe('A1');
    expect(session.virtual).toBeUndefined();
  });

  it('takes a board that had answered before, keeps the model of one that comes back, and asks anew for another', async () => {
    link.newest = helloOf('A1');
    opened();
    await settled();
    expect(asked).toEqual(['A1']);
    link.say('A1');
    link.say('B2');
    await settled();
    expect(asked).toEqual(['A1', 'B2']);
    expect(session.notes()).toEqual(['A place.', 'Model of B2.']);
  });

  it('says why there is no model, and asks again when the board answers again', async () => {
    let refuses = true;
    opened({
      modelFor: async (hello) => {
        if (refuses) throw new Failure(65, 'The file is torn.', 'Repair it.');
        return modelFor(hello);
      },
    });
    link.say('A1');
    await settled();
    expect(session.notes()).toEqual(['A place.', 'The file is torn. Repair it.']);
    refuses = false;
    link.say('A1');
    await settled();
    expect(session.notes()).toEqual(['A place.', 'Model of A1.']);
  });

  it('does not take a fault of the program for a refusal', async () => {
    link.newest = helloOf('A1');
    opened({
      modelFor: undefined,
      placeAt: async () => ({ notes: [], modelFor: () => Promise.reject(new TypeError('a fault')) }),
    });
    await expect(session.moveTo?.(site)).rejects.toThrow('a fault');
  });

  it('says in this order: hands, place, model, warmth, bolts', async () => {
    const knobs = { words: () => ['Bolts.'], saved: Promise.resolve() } as unknown as KeptKnobs;
    const world = createWorld('orchard', { seed: 3, date: new Date('2026-11-29T00:00:00Z') });
    opened({ knobs, world });
    link.say('A1');
    await settled();
    expect(session.notes()).toEqual(['A place.', 'Model of A1.', 'Bolts.']);
    link.stream(0.1, still, { temperatureC: 3 });
    session.virtual?.tellHands(() => 'Hands.');
    expect(session.notes()).toEqual([
      'Hands.',
      'A place.',
      'Model of A1.',
      expect.stringMatching(/17 degrees colder than at its calibration/),
      'Bolts.',
    ]);
    session.virtual?.tellHands(() => '');
    session.useAxisModel(testModel(north), 'A fresh swing.');
    expect(session.notes()).toEqual(['A place.', 'A fresh swing.', 'Bolts.']);
    expect(session.knobs).toBe(knobs);
  });

  it('holds the needles against another site from now on, with the model that belongs there', async () => {
    const elsewhere: Placement = {
      site: { ...site, latitudeRad: 44 * degree },
      target: { ...target, pole: truePole(44 * degree) },
      notes: ['Another place.'],
      modelFor: async (hello) => ({ ...(await modelFor(hello)), notes: ['Model for there.'] }),
    };
    opened({ placeAt: async () => elsewhere });
    link.say('A1');
    await settled();
    link.stream(0.2, still);
    const moving = session.moveTo?.(site);
    await moving;
    expect(session.latest()).toBeUndefined();
    expect(asked).toEqual(['A1', 'A1']);
    expect([session.site, session.notes()]).toEqual([elsewhere.site, ['Another place.', 'Model for there.']]);
    link.stream(0.2, still);
    // an axis at 48.5 degrees, held against 44
    expect((session.latest()?.altitudeErrorRad ?? 0) / degree).toBeCloseTo(4.5, 6);
  });

  it('drops a model that comes for a place that was left meanwhile, and stays where it is without another', async () => {
    let arrive: (chosen: { model: AxisModel; notes: string[] }) => void = () => {};
    const late = new Promise<{ model: AxisModel; notes: string[] }>((resolve) => (arrive = resolve));
    opened({ modelFor: () => late, placeAt: async () => ({ notes: ['Another place.'], target, site }) });
    link.say('A1');
    await session.moveTo?.(site);
    arrive({ model: testModel(north), notes: ['Too late.'] });
    await settled();
    expect(session.axisModel()).toBeUndefined();
    expect(session.notes()).toEqual(['Another place.']);
    await session.close();
    opened();
    expect(session.moveTo).toBeUndefined();
  });

  it('hands on what the link says, and asks the board to test itself', async () => {
    opened({ clipping: { mount: 'pier', clip: 'oak' } });
    const heard: unknown[] = [];
    const stops = [
      session.onLink((status) => heard.push(status.words)),
      session.onSoundLine(({ line }) => heard.push(line)),
      session.onSample(({ sequence }) => heard.push(sequence)),
    ];
    const say = (): void => {
      link.statuses.emit({ ...link.status(), words: 'It is lost.' });
      link.lines.emit({ line: 'S,1', arrivalS: 2 });
      link.stream(0.02, still);
    };
    say();
    expect(heard).toEqual(['It is lost.', 'S,1', 1]);
    for (const stop of stops) stop();
    say();
    expect(heard).toHaveLength(3);
    session.selfTest();
    expect(link.sent).toEqual([{ request: 'selftest' }]);
    expect(session.link().words).toBe('It streams.');
    expect([session.source, session.clipping]).toEqual(['a board of a test', { mount: 'pier', clip: 'oak' }]);
  });

  it('notices which way a bolt was turned, but not where the needles start from something else', async () => {
    opened();
    link.say('A1');
    await settled();
    session.knobs.altitude = knob;
    const away = { ...still, altitudeErrorDeg: 0.2 };
    link.stream(4, still);
    link.stream(4, away);
    expect(session.knobs.altitude?.lastWay).toBe(-1);
    const starts = [
      () => session.useAxisModel(testModel(north), ''),
      () =>
        session.anchorTo({
          ...still,
          altitudeErrorRad: 0,
          azimuthErrorRad: 0,
          sigmaAltitudeErrorRad: 1e-4,
          sigmaAzimuthErrorRad: 1e-4,
        }),
      () => session.anchorTo(undefined),
    ];
    let isUp = false;
    for (const start of starts) {
      isUp = !isUp;
      start();
      link.stream(4, isUp ? still : away);
      expect(session.knobs.altitude?.lastWay).toBe(-1);
    }
    link.stream(4, { ...still, altitudeErrorDeg: 4 });
    expect(session.knobs.altitude?.lastWay).toBe(1);
  });

  it('carries on what is known from the sky, and tells nothing while a step has the board', async () => {
    opened();
    link.say('A1');
    await settled();
    link.stream(3, still);
    const known = { altitudeErrorRad: 0.1 * degree, azimuthErrorRad: 0.3 * degree };
    session.anchorTo({ ...known, sigmaAltitudeErrorRad: 1e-4, sigmaAzimuthErrorRad: 2e-4 });
    link.stream(1, { ...still, altitudeErrorDeg: 2 });
    expect(session.latest()).toMatchObject({ isAnchored: true, isOffClip: false });
    expect((session.latest()?.altitudeErrorRad ?? 0) / degree).toBeCloseTo(0.6, 2);
    session.anchorTo(undefined);
    session.takeBoard(true);
    link.stream(0.1, still);
    expect(session.latest()).toMatchObject({ isAnchored: false, isOffClip: true });
    session.takeBoard(false);
    link.stream(3, still);
    expect(session.latest()?.isOffClip).toBe(false);
  });

  it('ends once: first the views, then what is being saved, the link, and what stands behind it', async () => {
    let save: () => void = () => {};
    const saved = new Promise<void>((resolve) => (save = resolve));
    const knobs = { words: () => [], saved } as unknown as KeptKnobs;
    opened({ knobs, onClose: async () => void link.closed.push('board') });
    link.say('A1');
    await settled();
    let told = 0;
    session.onNeedles(() => (told += 1));
    const ends = [session.close(), session.close()];
    expect(ends[0]).toBe(ends[1]);
    link.stream(0.1, still);
    await settled();
    expect([told, link.closed]).toEqual([0, []]);
    save();
    await ends[0];
    expect(link.closed).toEqual(['link', 'board']);
  });
});

describe('a session with a virtual mount', () => {
  const date = new Date('2026-11-29T03:00:00Z');
  const world = createWorld('orchard', { seed: 5, date });
  const { latitudeRad } = scenes.orchard.place;

  it('has the hands, the eye and the tumble of its world, and the truth against the pole of its needles', async () => {
    const link = new ToldLink();
    const calibration = { id: 1 } as never;
    const model = { ...testModel(north) };
    const lowered = { ...truePole(latitudeRad), altitudeRad: latitudeRad - 0.75 * degree };
    const options = {
      link: asLink(link),
      world,
      calibration,
      site: scenes.orchard.place,
      notes: [],
      startUtc: date,
      source: () => 'virtual',
      modelFor: async () => ({ model, notes: [] }),
    };
    const session = new LinkSession({ ...options, target: { ...target, pole: lowered } });
    const { virtual } = session;
    expect(virtual?.hands).toBe(world.hands);
    expect(virtual?.calibration).toBe(calibration);
    expect(virtual?.eyepiece.utc()).toEqual(date);
    expect(virtual?.pinShadow.see(new Date('2026-11-29T20:00:00Z'))).toBeDefined();
    const turned = vi.spyOn(world, 'turnBolt').mockImplementation(() => {});
    virtual?.turnBolt('azimuth', -0.25);
    expect(turned.mock.calls).toEqual([['azimuth', -0.25]]);
    turned.mockRestore();
    link.say('A1');
    await settled();
    link.stream(0.1, still);
    const truth = world.truth();
    const told = session.latest()?.truth;
    // the pole of the needles lies 45 arcminutes lower than the true one
    expect(((told?.altitudeErrorRad ?? 0) - truth.altitudeErrorRad) / degree).toBeCloseTo(0.75, 6);
    expect(told?.azimuthErrorRad).toBeCloseTo(truth.azimuthErrorRad, 9);
    await session.close();
    const blind = new LinkSession({ ...options, site: undefined, target: { ...target, pole: lowered } });
    link.stream(0.1, still);
    await settled();
    link.stream(0.1, still);
    expect(blind.latest()?.truth).toBeUndefined();
    await blind.close();
  });
});
