import { exitCode, Failure } from '../../failure.ts';
import { printable } from '../../output.ts';
import type { RecordedSample } from '../recording.ts';
import type { Columns, Triple } from './columns.ts';
import { isMissing } from './lines.ts';
import type { Row } from './rows.ts';
import { secondsOf } from './time.ts';
import { UnitWatch } from './unitWatch.ts';

/** Decimal numbers as loggers write them. */
const numberShape = /^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d{1,3})?$/;
const nanotesla = 1000;
const dayS = 86_400;

/** A cell as a number, NaN where it is none; where commas do not part the columns, decimals may be written with one. */
export function numberIn(cell: string, hasDecimalCommas: boolean): number {
  const text = hasDecimalCommas ? cell.replace(',', '.') : cell;
  return numberShape.test(text) ? Number(text) : NaN;
}

/** Turns rows into samples and watches their units. */
export class RowReader {
  private readonly path: string;
  private readonly columns: Columns;
  private readonly hasDecimalCommas: boolean;
  private readonly accelWatch: UnitWatch | undefined;
  private readonly fieldWatch: UnitWatch | undefined;
  private firstLine = 0;
  private lastLine = 0;
  private lastS = -Infinity;
  private daysS = 0;

  constructor(path: string, columns: Columns, hasDecimalCommas: boolean) {
    this.path = path;
    this.columns = columns;
    this.hasDecimalCommas = hasDecimalCommas;
    const watchOver = (sensor: 'accelerometer' | 'magnetometer'): UnitWatch | undefined => {
      const triple = columns[sensor];
      return triple?.scaleKnown ? new UnitWatch(triple, sensor) : undefined;
    };
    this.accelWatch = watchOver('accelerometer');
    this.fieldWatch = watchOver('magnetometer');
  }

  /** One row, without the sensors that made no reading in it. Throws Failure where it is not sound. */
  read(row: Row): RecordedSample {
    const { time, accelerometer, magnetometer, gyro, temperature } = this.columns;
    if (this.firstLine === 0) this.firstLine = row.line;
    this.lastLine = row.line;
    const sample: RecordedSample = {};
    if (time !== undefined) sample.timeS = this.time(row);
    if (accelerometer !== undefined && !this.isWithout(row, accelerometer))
      sample.accelG = this.vector(row, accelerometer, accelerometer.factor);
    if (magnetometer !== undefined && !this.isWithout(row, magnetometer)) {
      sample.fieldNt = this.vector(row, magnetometer, magnetometer.scaleKnown ? nanotesla * magnetometer.factor : 1);
    }
    if (gyro !== undefined && !this.isWithout(row, gyro)) sample.rateDps = this.vector(row, gyro, gyro.factor);
    if (temperature !== undefined && !isMissing(row.values[temperature.at])) {
      sample.temperatureC = this.number(row, temperature.at, temperature.name);
    }
    const { accelG, fieldNt } = sample;
    if (accelG) this.accelWatch?.add(...accelG);
    if (fieldNt) this.fieldWatch?.add(fieldNt[0] / nanotesla, fieldNt[1] / nanotesla, fieldNt[2] / nanotesla);
    return sample;
  }

  /** Throws Failure when a column of the rows read since the last call is in another unit than it was taken in. */
  checkUnits(): void {
    for (const watch of [this.accelWatch, this.fieldWatch]) {
      const verdict = watch?.verdict();
      if (verdict === undefined) continue;
      throw new Failure(
        exitCode.badData,
        `${this.path}, lines ${this.firstLine} to ${this.lastLine}, column ${printable(verdict.column)}: ${verdict.what}.`,
        `The numbers look like ${verdict.unit}. Convert the column, or end its name in _raw when the scale is not known.`,
      );
    }
    this.firstLine = 0;
  }

  private isWithout(row: Row, triple: Triple): boolean {
    return triple.at.every((at) => isMissing(row.values[at]));
  }

  /** Seconds; a time of day goes on past midnight. */
  private time(row: Row): number {
    const { at, name, factor, fraction } = this.columns.time!;
    if (factor !== undefined) {
      const rest = fraction === undefined ? 0 : this.number(row, fraction.at, name) * fraction.factor;
      return this.number(row, at, name) * factor + rest;
    }
    const seconds = secondsOf(row.values[at]);
    if (seconds === undefined) throw this.fault(row, at, name, 'date or time of day');
    if (seconds + this.daysS < this.lastS - dayS / 2) this.daysS += dayS;
    this.lastS = seconds + this.daysS;
    return this.lastS;
  }

  private vector(row: Row, { at, names, signs }: Triple, factor: number): [number, number, number] {
    return [
      this.number(row, at[0], names[0]) * factor * signs[0],
      this.number(row, at[1], names[1]) * factor * signs[1],
      this.number(row, at[2], names[2]) * factor * signs[2],
    ];
  }

  private number(row: Row, at: number, name: string): number {
    const value = numberIn(row.values[at], this.hasDecimalCommas);
    if (Number.isFinite(value)) return value;
    throw this.fault(row, at, name, 'finite decimal number');
  }

  private fault(row: Row, at: number, name: string, wanted: string): Failure {
    const written = row.values[at];
    const what = written === '' ? 'is empty' : `holds "${printable(written.slice(0, 40))}", which is not a ${wanted}`;
    return new Failure(
      exitCode.badData,
      `${this.path}, line ${row.line}, column ${printable(name)} ${what}.`,
      'Mend or delete that line, or leave the column out.',
    );
  }
}
