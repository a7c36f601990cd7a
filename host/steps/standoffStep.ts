import { correct } from '../../calibration/correction.ts';
import type { SpacerReading, StandoffOptions, StandoffResult } from '../../calibration/standoff/types.ts';
import { deviationOn, fitStandoff } from '../../calibration/standoff/fitStandoff.ts';
import type { TimedReading } from '../../calibration/swing/timedReading.ts';
import { DwellFinder, longestDwell } from '../../calibration/swing/dwell.ts';
import type { Dwell, SwingSite } from '../../calibration/swing/types.ts';
import type { TumbleCalibration } from '../../calibration/tumble/types.ts';
import type { Vector3 } from '../../calibration/vector.ts';
import { exitCode, Failure } from '../failure.ts';
import type { Deviation } from '../site/site.ts';
import type { Step } from './step.ts';
import { texts } from './words/standoff.ts';

interface StandoffProgress {
  /** Spacers measured so far, millimetres. */
  spacersMm: readonly number[];
  currentMm: number | undefined;
  restCounts: boolean;
  instruction: string;
}

/** Gathers one rest on each spacer; the user says which spacer is under the board. */
export class StandoffStep implements Step<StandoffProgress, StandoffResult> {
  private readonly correction: TumbleCalibration['correction'];
  private readonly options: StandoffOptions;
  private readonly readings: SpacerReading[] = [];
  private finder = new DwellFinder();
  private currentMm: number | undefined;

  constructor({ correction }: Pick<TumbleCalibration, 'correction'>, options: StandoffOptions = {}) {
    this.correction = correction;
    this.options = options;
  }

  /**
   * The board now sits on this spacer (0: none); what rested before belongs to the spacer before, but for a rest that has begun
   * on the new one already. Throws Failure where the board has rested without a break since the spacer before.
   */
  onSpacer(millimetres: number): void {
    const { dwells } = this.finder;
    const before = this.finder.restCounts() ? dwells.slice(0, -1) : dwells;
    if (before.length === 0 && dwells.length > 0) {
      throw new Failure(
        exitCode.usage,
        'The board has not moved yet.',
        'Put the spacer under the board first, then confirm that it is in place.',
      );
    }
    this.keep(before);
    this.currentMm = millimetres;
  }

  offer(sample: TimedReading): void {
    if (this.currentMm !== undefined) this.finder.offer(sample);
  }

  progress(): StandoffProgress {
    const restCounts = this.finder.restCounts();
    const spacersMm = this.readings.map(({ spacerM }) => spacerM * 1000);
    const done = spacersMm.length + (restCounts ? 1 : 0);
    return {
      spacersMm,
      currentMm: this.currentMm,
      restCounts,
      instruction:
        this.currentMm === undefined
          ? texts.begin
          : !restCounts
            ? texts.rest
            : done < 3
              ? nextSpacerWords(this.currentMm)
              : texts.finish,
    };
  }

  finish(): StandoffResult {
    this.finder.close();
    this.keep(this.finder.dwells);
    return fitSpacers(this.readings, this.options);
  }

  private keep(dwells: readonly Dwell[]): void {
    const dwell = longestDwell(dwells);
    if (dwell && this.currentMm !== undefined)
      this.readings.push(spacerReading(dwell, this.currentMm, this.correction));
    this.finder = new DwellFinder();
  }
}

const nextSpacerWords = (currentMm: number): string => texts.putSpacer(currentMm > 0);

export const spacerReading = (
  dwell: Dwell,
  millimetres: number,
  { accelerometer, magnetometer }: TumbleCalibration['correction'],
): SpacerReading => ({
  spacerM: millimetres / 1000,
  accelG: correct(accelerometer, dwell.accelG),
  fieldNt: correct(magnetometer, dwell.fieldNt),
  sigmaFieldNt: dwell.sigmaFieldNt,
});

/** What is known beside the readings: the site, and where a swing took the turning iron out, its axis in the board. */
export const standoffOptions = (site: SwingSite | undefined, axisInBoard: Vector3 | undefined): StandoffOptions => ({
  site,
  isTurningIronKnown: axisInBoard !== undefined,
  ...(site && axisInBoard && { swung: { axisInBoard, altitudeRad: site.pole.altitudeRad } }),
});

/** What a stand-off leaves to be kept with the site, for a board that stays on a spacer. */
export function keptDeviation(result: StandoffResult, stayOnMm: number, date: Date): Omit<Deviation, 'foundBy'> {
  const { deviationRad, sigmaDeviationRad } = deviationOn(result, stayOnMm / 1000);
  return { eastRad: deviationRad, sigmaRad: sigmaDeviationRad, keptUtc: date.toISOString() };
}

/** As `fitStandoff`, with what cannot be fitted told as something to do. */
export function fitSpacers(readings: readonly SpacerReading[], options: StandoffOptions = {}): StandoffResult {
  if (new Set(readings.map(({ spacerM }) => spacerM)).size < 2) {
    throw new Failure(
      exitCode.refused,
      `The board rested ${readings.length === 0 ? 'nowhere' : 'on one spacer length only'}; two lengths or more are needed.`,
      'Let it rest for two seconds without a spacer, then on spacers of 5 and 10 cm of wood or plastic.',
    );
  }
  return fitStandoff(readings, options);
}
