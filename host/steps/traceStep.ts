import { correct, type SensorCorrection } from '../../calibration/correction.ts';
import { pointingOf } from '../../calibration/pointing.ts';
import { exitCode, Failure } from '../failure.ts';
import type { BoardSample } from '../link/boardSample.ts';
import type { Step } from './step.ts';
import type { HorizonSector } from '../site/horizon.ts';
import { HorizonTrace } from './traceHorizon.ts';

/** The board's x arrow, with which one points. */
const arrow = [1, 0, 0] as const;
/** Time to take the board up and point it: where it points on the way there is no tree line. */
const takingUpS = 3;
const leastCoverage = 0.2;

interface TraceProgress {
  /** Share of the horizon that was swept, 0..1. */
  coverage: number;
}

/** Gathers the skyline from a board whose arrow is swept along it. */
export class TraceStep implements Step<TraceProgress, HorizonSector[]> {
  private readonly correction: SensorCorrection;
  private readonly variationRad: number;
  private readonly trace = new HorizonTrace();
  private fromS: number | undefined;

  constructor(correction: SensorCorrection, variationRad: number) {
    this.correction = correction;
    this.variationRad = variationRad;
  }

  offer({ boardS, accelG, fieldNt }: Pick<BoardSample, 'boardS' | 'accelG' | 'fieldNt'>): void {
    this.fromS ??= boardS + takingUpS;
    if (boardS < this.fromS) return;
    const { accelerometer, magnetometer } = this.correction;
    this.trace.offer(
      pointingOf(arrow, correct(accelerometer, accelG), correct(magnetometer, fieldNt), this.variationRad),
    );
  }

  progress(): TraceProgress {
    return { coverage: this.trace.coverage() };
  }

  finish(): HorizonSector[] {
    const coverage = this.trace.coverage();
    if (coverage >= leastCoverage) return this.trace.sectors();
    throw new Failure(
      exitCode.refused,
      `Only ${(100 * coverage).toFixed(0)} percent of the horizon was swept, at least ${100 * leastCoverage} are needed.`,
      'Sweep along what hides the sky, or write it down as "330-60:55".',
    );
  }
}
