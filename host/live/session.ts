import type { AxisModel } from '../../calibration/axisModel.ts';
import type { Knob } from '../../calibration/knob.ts';
import type { Anchor } from '../../calibration/live/estimator.ts';
import type { TumbleCalibration } from '../../calibration/tumble/types.ts';
import type { Hands } from '../../firmware-proto/virtual/hands.ts';
import type { Hello } from '../../firmware-proto/wire.ts';
import type { BoardSample } from '../link/boardSample.ts';
import type { LinkStatus } from '../link/linkStatus.ts';
import type { Site } from '../site/site.ts';
import type { ClippingOptions } from '../store/clipping.ts';
import type { Eyepiece } from './eyepiece.ts';
import type { PinShadow } from './pinShadow.ts';

export type NeedleState = 'moving' | 'still' | 'disturbed' | 'stale';

/** Errors of the axis and their standard deviations. */
export interface AxisFigures {
  altitudeErrorRad: number;
  azimuthErrorRad: number;
  distanceRad: number;
  sigmaAltitudeErrorRad: number;
  sigmaAzimuthErrorRad: number;
  sigmaDistanceRad: number;
}

/** One estimate of where the polar axis points. */
export interface Needles extends AxisFigures {
  utcMs: number;
  /** Monotonic host time of the sample it rests on, seconds. */
  arrivalS: number;
  state: NeedleState;
  /** The same as people read it: every figure, sentence, scale and band rests on it, so that none twitches. */
  shown: AxisFigures;
  /** The board is off its clip: none of this tells where the axis points. */
  isOffClip: boolean;
  /** Carried on from what was measured on the sky. */
  isAnchored: boolean;
  /** Strength and dip against the site's, in sigmas; what "disturbed" rests on. */
  fieldDeviationSigmas: number;
  /** Absent where the board has no thermometer. */
  temperatureC?: number;
  /** Virtual board only: the simulator's own errors, never used by the estimator. */
  truth?: { altitudeErrorRad: number; azimuthErrorRad: number; distanceRad: number };
}

/** At rest, as far as can be told: where iron is near, motion is not told apart. */
export const isAtRest = ({ state }: Pick<Needles, 'state'>): boolean => state === 'still' || state === 'disturbed';

/** The hands and the eye of a person who is not there, at a mount that is not there. */
export interface VirtualMount {
  turnBolt(bolt: 'altitude' | 'azimuth', turns: number): void;
  /** They can do whatever a person could. */
  readonly hands: Hands;
  /** From now on the notes begin with what is to be said of scripted hands. */
  tellHands(words: () => string): void;
  /** The eye at the tube. */
  readonly eyepiece: Eyepiece;
  /** The Sun behind them, the eye at the face of the board. */
  readonly pinShadow: PinShadow;
  /** The tumble of its rehearsal. */
  readonly calibration: TumbleCalibration | undefined;
}

/** Live needles from one board, real, virtual or replayed; every view (terminal, JSON, page) reads this and nothing else. */
export interface LiveSession {
  /** In words, e.g. "virtual board, scene orchard" or "board 3F2A91C4 on /dev/ttyUSB0". */
  readonly source: string;
  /** What a person at a virtual mount has; undefined on a real one. */
  readonly virtual?: VirtualMount;
  /** Where the mount stands, as far as is known now; its hemisphere says on which side east is drawn. */
  readonly site: Site | undefined;
  /** The mount and the clip that the person named, to which a swing belongs. */
  readonly clipping: ClippingOptions | undefined;
  /** Not on a virtual mount, which stands where its scene is: from now on the needles are held against another site. */
  moveTo?(site: Site): Promise<void>;
  /** What the person should know, as sentences: where the calibration came from, cautions. */
  notes(): readonly string[];
  /** Last hello of the board. */
  hello(): Hello | undefined;
  latest(): Needles | undefined;
  link(): LinkStatus;
  /** Listeners are called synchronously, once per sample; each returns a function that unsubscribes. */
  onNeedles(listener: (needles: Needles) => void): () => void;
  onSample(listener: (sample: BoardSample) => void): () => void;
  onLink(listener: (status: LinkStatus) => void): () => void;
  /** The model that the needles rest on; undefined until a board answered. */
  axisModel(): AxisModel | undefined;
  /** What a turn of each bolt does, once it was learnt; shared by all views, and kept where it is assigned. */
  readonly knobs: Partial<Record<'altitude' | 'azimuth', Knob>>;
  /** From now on the needles use this model: after a finished swing. */
  useAxisModel(model: AxisModel, note: string): void;
  /** A step has the board off its clip, or has it no longer: until it rests on the clip again the needles tell nothing. */
  takeBoard(isTaken: boolean): void;
  /** From now on the needles carry on errors that are known from elsewhere (the sky); undefined lets go of them. */
  anchorTo(known: Anchor | undefined): void;
  /** Every sound line of the board as it came, for recording. */
  onSoundLine(listener: (heard: { line: string; arrivalS: number }) => void): () => void;
  /** Asks the board to test itself. */
  selfTest(): void;
  close(): Promise<void>;
}
