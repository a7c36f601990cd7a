import type { Vector3 } from '../../calibration/vector.ts';
import { orientationMatrix, type Chip, type Hello, type WireSample } from '../../firmware-proto/wire.ts';

/** Takes counts in a chip's axes to the board's frame and a physical unit. */
class ChipScale {
  private readonly at: readonly number[];
  private readonly factor: readonly number[];

  constructor({ orientation }: Chip, perCount: number) {
    const matrix = orientationMatrix(orientation);
    const rows = [0, 3, 6].map((row) => matrix.slice(row, row + 3));
    this.at = rows.map((row) => row.findIndex((entry) => entry !== 0));
    this.factor = rows.map((row, i) => row[this.at[i]] * perCount);
  }

  apply(counts: Vector3): [number, number, number] {
    const { at, factor } = this;
    return [factor[0] * counts[at[0]], factor[1] * counts[at[1]], factor[2] * counts[at[2]]];
  }
}

/** Scales and orientations that a hello states, ready for its samples. */
export class SampleScale {
  private readonly accel: ChipScale;
  private readonly field: ChipScale;
  private readonly gyro: ChipScale | undefined;
  private readonly temperature: Hello['temperature'];

  constructor({ accelerometer, magnetometer, gyro, temperature }: Hello) {
    this.accel = new ChipScale(accelerometer, accelerometer.gPerCount);
    this.field = new ChipScale(magnetometer, magnetometer.ntPerCount);
    this.gyro = gyro && new ChipScale(gyro, gyro.dpsPerCount);
    this.temperature = temperature;
  }

  accelG(sample: WireSample): [number, number, number] {
    return this.accel.apply(sample.accel);
  }

  fieldNt(sample: WireSample): [number, number, number] {
    return this.field.apply(sample.field);
  }

  /** Undefined where the sample or the hello has no gyro. */
  rateDps(sample: WireSample): [number, number, number] | undefined {
    return sample.rate && this.gyro?.apply(sample.rate);
  }

  /** Undefined where the board has no thermometer. */
  temperatureC(sample: WireSample): number | undefined {
    const { cAtZero, cPerCount } = this.temperature;
    return cPerCount === 0 ? undefined : cAtZero + cPerCount * sample.temperature;
  }
}
