import { arcminute, degree } from '../../calibration/angle.ts';
import { correct } from '../../calibration/correction.ts';
import type { TimedReading } from '../../calibration/swing/timedReading.ts';
import { DwellFinder } from '../../calibration/swing/dwell.ts';
import { fitSwing } from '../../calibration/swing/fitSwing.ts';
import { withCause } from '../../calibration/swing/suspects.ts';
import type { Dwell, Face, SwingCircle, SwingOptions, SwingResult } from '../../calibration/swing/types.ts';
import type { TumbleCalibration } from '../../calibration/tumble/types.ts';
import { dot } from '../../calibration/vector.ts';
import { exitCode, Failure } from '../failure.ts';
import { restWords } from '../words/rest.ts';
import type { Step } from './step.ts';
import { texts } from './words/swing.ts';

export interface SwingProgress {
  /** 1, or 2 once the board was turned end for end. */
  face: number;
  /** Places at which the axis rested, on this face. */
  dwells: number;
  /** Rests before and after them that are none of this axis: the board lay elsewhere. */
  leftOut: number;
  isResting: boolean;
  /** The present rest is long enough: turn on. */
  restCounts: boolean;
  /** How long each rest should last, by the chip's noise. */
  restWantedS: number;
  arcDeg: number;
  /** To draw, once a first fit is there: gravity in g and field in nT, seen along the axis. */
  gravityCircle?: SwingCircle;
  fieldCircle?: SwingCircle;
  spreadDeg?: number;
  sigmaAltitudeDeg?: number;
  sigmaMagneticAzimuthDeg?: number;
  isEnough: boolean;
  /** What to do now, in words. */
  instruction: string;
}

const wantedDwells = 8;
/** More places than this are not asked for, however little the axis is known. */
const mostDwellsAsked = 16;
const wantedAxisArcmin = 3;
const wantedArcDeg = 120;
const fewestForFit = 4;
/** Much more than an axis that is still poorly known makes, and less than the turn end for end from 6 degrees of altitude on. */
const offConeG = 0.2;

/** Gathers a swing from live samples: the rests are found by themselves while the user turns the axis. */
export class SwingStep implements Step<SwingProgress, SwingResult> {
  private calibration: TumbleCalibration;
  private options: SwingOptions;
  private readonly faces: Face[] = [];
  private finder = new DwellFinder();
  private fitted: { found: number; isLong: boolean; kept: readonly Dwell[]; result: SwingResult } | undefined;

  constructor(calibration: TumbleCalibration, options: SwingOptions = {}) {
    this.calibration = calibration;
    this.options = options;
  }

  offer(sample: TimedReading): void {
    this.finder.offer(sample);
  }

  /** The board was taken off and clipped on end for end: what comes now is the second face. */
  turnEndForEnd(): void {
    this.finder.close();
    this.faces.push(this.onOneCone(this.finder.dwells));
    this.finder = new DwellFinder();
    this.fitted = undefined;
  }

  /** From now on, and for all rests so far, another calibration and site hold. */
  judgeBy(calibration: TumbleCalibration, options: SwingOptions): void {
    this.calibration = calibration;
    this.options = options;
    this.fitted = undefined;
  }

  progress(): SwingProgress {
    const found = this.finder.dwells.length;
    const { result, kept } = this.fit() ?? {};
    const dwells = kept?.length ?? found;
    const arcDeg = (result?.arcRad ?? 0) / degree;
    const restCounts = this.finder.restIsLong();
    const isResting = this.finder.restingS > 0;
    const isAxisKnown = ((result?.sigmaAxisInBoardRad ?? Infinity) * Math.SQRT2) / arcminute <= wantedAxisArcmin;
    const isEnough =
      (restCounts || !isResting) &&
      dwells >= wantedDwells &&
      arcDeg >= wantedArcDeg &&
      (isAxisKnown || dwells >= mostDwellsAsked);
    const { restWantedS } = this.finder;
    return {
      face: this.faces.length + 1,
      dwells,
      leftOut: found - dwells,
      isResting,
      restCounts,
      restWantedS,
      arcDeg,
      ...(result && {
        gravityCircle: result.gravityCircle,
        fieldCircle: result.fieldCircle,
        spreadDeg: result.spreadRad / degree,
        sigmaAltitudeDeg: Math.sqrt(result.covariance[0]) / degree,
        sigmaMagneticAzimuthDeg: Math.sqrt(result.covariance[3]) / degree,
      }),
      isEnough,
      instruction: instruction({ dwells, arcDeg, restCounts, restWantedS, isEnough }),
    };
  }

  finish(): SwingResult {
    this.finder.close();
    return fitFaces([...this.faces, this.onOneCone(this.finder.dwells)], this.calibration, this.options);
  }

  /**
   * The rests of a face without those, first or last, of a board that lay elsewhere: on the base before it was clipped on, or end
   * for end before that was told. Gravity has the same part along the axis in all the others.
   */
  private onOneCone(dwells: readonly Dwell[]): Dwell[] {
    if (dwells.length <= fewestForFit) return [...dwells];
    const from = dwells.length >> 2;
    const sure = dwells.slice(from, from + Math.max(fewestForFit, dwells.length - 2 * from));
    const { axisInBoard, axisModel, axisAltitudeRad } = fitSwing([sure], this.calibration, this.options);
    const along = ({ accelG }: Dwell): number => dot(correct(axisModel.correction.accelerometer, accelG), axisInBoard);
    const belongs = (dwell: Dwell): boolean => Math.abs(along(dwell) - Math.sin(axisAltitudeRad)) < offConeG;
    const first = dwells.findIndex(belongs);
    return first < 0 ? [...dwells] : dwells.slice(first, dwells.findLastIndex(belongs) + 1);
  }

  /** Fits this face anew only when another rest has been found, and when it has become long. */
  private fit(): SwingStep['fitted'] {
    const { dwells } = this.finder;
    if (dwells.length < fewestForFit) return undefined;
    const isLong = this.finder.restIsLong();
    if (this.fitted?.found !== dwells.length || (isLong && !this.fitted.isLong)) {
      const kept = this.onOneCone(dwells);
      const result = fitSwing([kept], this.calibration, this.options);
      this.fitted = { found: dwells.length, isLong, kept, result };
    }
    return this.fitted;
  }
}

/** As `fitSwing`, with what cannot be fitted told as something to do. */
export function fitFaces(faces: readonly Face[], calibration: TumbleCalibration, options: SwingOptions): SwingResult {
  const fewest = Math.min(...faces.map((face) => face.length));
  if (fewest < 3) {
    throw new Failure(
      exitCode.refused,
      `The axis rested at ${plural(fewest, 'place')} only; four or more over 90 degrees are needed.`,
      'Turn the right-ascension axis on by 20 to 45 degrees and let it rest for two seconds. Repeat this.',
    );
  }
  return withCause(fitSwing(faces, calibration, options), faces, calibration, options);
}

function instruction({
  dwells,
  arcDeg,
  restCounts,
  restWantedS,
  isEnough,
}: Pick<SwingProgress, 'dwells' | 'arcDeg' | 'restCounts' | 'restWantedS' | 'isEnough'>): string {
  if (dwells === 0) return texts.begin;
  if (!restCounts) return texts.rest(restWords(restWantedS));
  if (isEnough) return texts.finish;
  if (dwells >= wantedDwells && arcDeg >= wantedArcDeg) {
    return texts.keepTurning(wantedAxisArcmin);
  }
  const more =
    dwells < wantedDwells
      ? plural(wantedDwells - dwells, 'more place')
      : `${Math.ceil(wantedArcDeg - arcDeg)} degrees more`;
  return texts.turnOn(more);
}

const plural = (count: number, what: string): string => `${count} ${what}${count === 1 ? '' : 's'}`;
