import type { RawCounts } from '../rawCounts.ts';
import { SampleClock } from './chipOutput.ts';
import { RegisterChip } from './registerChip.ts';

/** What a chip measures, and when. */
export interface ChipSurroundings {
  /** The counts of its make (`parts.ts`) at an instant, along right-handed axes. */
  countsAt(worldS: number): RawCounts;
  nowS(): number;
  /** The chip's clock against the true one; datasheets leave it some percent. */
  clockRatio: number;
}

/** A sensor at register level, with its own clock. */
export abstract class SensorChip extends RegisterChip {
  /** A fault for the self-test: the sensor does not move when it is pushed. */
  seized = false;
  /** Called when an output register is first read after a start: the instant at which the processor takes a sample. */
  onOutputRead: () => void = () => undefined;
  protected readonly around: ChipSurroundings;
  private readonly clock = new SampleClock();

  constructor(around: ChipSurroundings) {
    super();
    this.around = around;
  }

  /** As after a failure of the supply. */
  abstract powerUp(): void;

  /** Measures so often from now on, by its own clock; 0 stops. */
  protected runClock(hz: number): void {
    this.clock.run(hz * this.around.clockRatio, this.around.nowS());
  }

  /** The newest measurement that was not asked for before. */
  protected newest(): RawCounts | undefined {
    const sampleS = this.clock.newest(this.around.nowS());
    return sampleS === undefined ? undefined : this.around.countsAt(sampleS);
  }
}
