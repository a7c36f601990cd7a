import type { AxisModel } from '../../calibration/axisModel.ts';
import type { Anchor, Target } from '../../calibration/live/estimator.ts';
import type { TumbleCalibration } from '../../calibration/tumble/types.ts';
import { axisWithErrors, polarErrors, truePole } from '../../calibration/polarAxis.ts';
import type { VirtualWorld } from '../../firmware-proto/virtual/world.ts';
import type { Hello } from '../../firmware-proto/wire.ts';
import type { BoardLink } from '../link/boardLink.ts';
import type { Site } from '../site/site.ts';
import { Failure } from '../failure.ts';
import { temperatureCautions } from '../store/belongs.ts';
import type { ClippingOptions } from '../store/clipping.ts';
import type { KeptKnobs } from '../store/knobs.ts';
import type { ChosenModel } from './chooseModel.ts';
import { BoltWays } from './boltWays.ts';
import { eyepieceOf } from './eyepiece.ts';
import { NeedleStream } from './needleStream.ts';
import { pinShadowOf } from './pinShadow.ts';
import type { BoardSample } from '../link/boardSample.ts';
import type { LinkStatus } from '../link/linkStatus.ts';
import type { LiveSession, Needles, VirtualMount } from './session.ts';

/** All that goes with the place where the mount stands; while that is not known there are no needles. */
export interface Placement {
  site?: Site;
  target?: Target;
  /** Said at once: about the site, the clock, the choice of board. */
  notes: readonly string[];
  /** Finds the model for the board that answered. */
  modelFor?: (hello: Hello) => Promise<ChosenModel>;
  /** What is kept of the mount's bolts; not for virtual mounts. */
  knobs?: KeptKnobs;
}

interface LinkSessionOptions extends Placement {
  link: BoardLink;
  /** The same for another site; without it the mount stays where it is. */
  placeAt?: (site: Site) => Promise<Placement>;
  /** The source in words; of a real board it is asked anew, since the board may change its port. */
  source: () => string;
  clipping?: ClippingOptions;
  /** Virtual boards only. */
  world?: VirtualWorld;
  calibration?: TumbleCalibration;
  /** What the clock of their sky shows at first; now if not given. */
  startUtc?: Date;
  /** Recordings only: when a sample was taken, milliseconds, by the board's clock. */
  utcOf?: (boardS: number) => number;
  /** Ends whatever stands behind the link. */
  onClose?: () => Promise<void>;
}

/** The simulator's own errors, against the pole that the needles are held against. */
function truthAgainst({ site, target }: Placement, world: VirtualWorld): Needles['truth'] {
  if (!site || !target) return undefined;
  const { altitudeErrorRad, azimuthErrorRad } = world.truth();
  const axis = axisWithErrors(truePole(site.latitudeRad), altitudeErrorRad, azimuthErrorRad);
  return polarErrors(axis, target.pole);
}

function mountOf(
  world: VirtualWorld,
  { startUtc, calibration }: LinkSessionOptions,
  tellHands: VirtualMount['tellHands'],
): VirtualMount {
  const eyepiece = eyepieceOf(world, startUtc);
  return {
    turnBolt: (bolt, turns) => world.turnBolt(bolt, turns),
    hands: world.hands,
    tellHands,
    eyepiece,
    pinShadow: pinShadowOf(world, eyepiece.utc),
    calibration,
  };
}

/** Live needles from whatever a link leads to. */
export class LinkSession implements LiveSession {
  readonly virtual: VirtualMount | undefined;
  readonly moveTo: LiveSession['moveTo'];
  readonly clipping: ClippingOptions | undefined;
  private readonly options: LinkSessionOptions;
  private placement: Placement;
  private readonly unkeptKnobs: LiveSession['knobs'] = {};
  private readonly stream: NeedleStream;
  private readonly ways = new BoltWays(() => this.knobs);
  private modelNotes: readonly string[] = [];
  private handsWords: () => string = () => '';
  private model: AxisModel | undefined;
  private boardId: string | undefined;
  private closing: Promise<void> | undefined;

  constructor(options: LinkSessionOptions) {
    const { link, world, placeAt } = options;
    this.options = options;
    this.placement = options;
    this.clipping = options.clipping;
    this.moveTo = placeAt && (async (site) => this.standAt(await placeAt(site)));
    this.virtual = world && mountOf(world, options, (words) => (this.handsWords = words));
    this.stream = new NeedleStream(options.target, world && (() => truthAgainst(options, world)), options.utcOf);
    this.stream.listeners.add((needles) => this.ways.offer(needles));
    link.onSample((sample) => this.stream.offer(sample));
    link.onHello((hello) => void this.meet(hello));
    const known = link.hello();
    if (known) void this.meet(known);
  }

  get source(): string {
    return this.options.source();
  }

  get site(): Site | undefined {
    return this.placement.site;
  }

  get knobs(): LiveSession['knobs'] {
    return this.placement.knobs ?? this.unkeptKnobs;
  }

  notes(): readonly string[] {
    const hands = this.handsWords();
    return [
      ...(hands === '' ? [] : [hands]),
      ...this.placement.notes,
      ...this.modelNotes,
      ...temperatureCautions('calibration', this.model?.temperatureC, this.latest()?.temperatureC),
      ...(this.placement.knobs?.words() ?? []),
    ];
  }

  hello(): Hello | undefined {
    return this.options.link.hello();
  }

  latest(): Needles | undefined {
    return this.stream.latest();
  }

  link(): LinkStatus {
    return this.options.link.status();
  }

  onNeedles(listener: (needles: Needles) => void): () => void {
    return this.stream.listeners.add(listener);
  }

  onSample(listener: (sample: BoardSample) => void): () => void {
    return this.options.link.onSample(listener);
  }

  onLink(listener: (status: LinkStatus) => void): () => void {
    return this.options.link.onStatus(listener);
  }

  onSoundLine(listener: (heard: { line: string; arrivalS: number }) => void): () => void {
    return this.options.link.onSoundLine(listener);
  }

  axisModel(): AxisModel | undefined {
    return this.model;
  }

  useAxisModel(model: AxisModel, note: string): void {
    this.modelNotes = [note];
    this.show(model);
  }

  anchorTo(known: Anchor | undefined): void {
    this.ways.forget();
    this.stream.anchorTo(known);
  }

  takeBoard(isTaken: boolean): void {
    this.stream.takeBoard(isTaken);
  }

  selfTest(): void {
    this.options.link.send({ request: 'selftest' });
  }

  close(): Promise<void> {
    this.closing ??= (async () => {
      this.stream.close();
      await this.placement.knobs?.saved;
      await this.options.link.close();
      await this.options.onClose?.();
    })();
    return this.closing;
  }

  private show(model: AxisModel): void {
    this.model = model;
    this.ways.forget();
    this.stream.use(model);
  }

  /** The model is chosen anew too: a swing belongs to its place. */
  private async standAt(placement: Placement): Promise<void> {
    this.placement = placement;
    this.ways.forget();
    this.stream.aimAt(placement.target);
    this.boardId = undefined;
    const hello = this.hello();
    if (hello) await this.meet(hello);
  }

  /** A board that comes back keeps its model; another one gets its own. */
  private async meet(hello: Hello): Promise<void> {
    const { placement } = this;
    if (hello.boardId === this.boardId || !placement.modelFor) return;
    this.boardId = hello.boardId;
    try {
      const { model, notes } = await placement.modelFor(hello);
      if (placement !== this.placement) return;
      this.modelNotes = notes;
      this.show(model);
    } catch (error) {
      if (!(error instanceof Failure)) throw error;
      this.boardId = undefined;
      this.modelNotes = [`${error.message} ${error.whatToDo}`];
    }
  }
}
