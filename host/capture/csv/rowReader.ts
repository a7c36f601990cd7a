import { exitCode, Failure } from '../../failure.ts';
import { printable } from '../../output.ts';
import type { RecordedSample } from '../recorded.ts';
import type { Columns, Triple } from './columns.ts';
import { isMissing } from './text.ts';
import { secondsOf } from './time.ts';

/** Decimal numbers as loggers write them. */
const numberShape = /^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d{1,3})?$/;
const nanotesla = 1000;
/** No chip reads more, in g, microtesla or degrees a second; nor in counts; nor is any so hot. */
const mostOfUnit = 1e6;
const mostCounts = 2 ** 32;
const mostC = 1000;
const dayS = 86_400;

/** A cell as a number, NaN where it is none; where commas do not part the columns, decimals may be written with one. */
export function numberIn(cell: string, hasDecimalCommas: boolean): number {
  const text = hasDecimalCommas ? cell.replace(',', '.') : cell;
  return numberShape.test(text) ? Number(text) : NaN;
}

export interface Row {
  values: string[];
  /** The file's line, from 1. */
  line: number;
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
      sample.temperatureC = this.number(row, temperature.at, temperature.name, mostC);
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

  private vector(row: Row, triple: Triple, factor: number): [number, number, number] {
    const most = triple.scaleKnown ? mostOfUnit / triple.factor : mostCounts;
    const part = (i: 0 | 1 | 2): number =>
      this.number(row, triple.at[i], triple.names[i], most) * factor * triple.signs[i];
    return [part(0), part(1), part(2)];
  }

  private number(row: Row, at: number, name: string, most = Infinity): number {
    const value = numberIn(row.values[at], this.hasDecimalCommas);
    if (!Number.isFinite(value)) throw this.fault(row, at, name, 'finite decimal number');
    if (Math.abs(value) > most) throw this.fault(row, at, name, 'value that a sensor can read');
    return value;
  }

  private fault(row: Row, at: number, name: string, wanted: string): Failure {
    const written = row.values[at];
    const what = written === '' ? 'is empty' : `holds "${printable(written.slice(0, 40))}", which is not a ${wanted}`;
    return new Failure(
      exitCode.badData,
      `${this.path}, line ${row.line}, column ${printable(name)} ${what}.`,
      'Correct or delete that line, or leave the column out.',
    );
  }
}

/** What a column's size says of its true unit. Bounds are our own, well outside what a hand and the Earth's field can do. */
interface Range {
  /** Most values of a sound column lie under this. */
  high: number;
  guess: (typical: number) => string;
}

/** A hand gives 1 g and a little more; an unwalked chip up to some tenths of g of bias. */
const accelG: Range = {
  high: 4,
  guess: (typical) => (typical < 50 ? 'metres per second squared: divide by 9.80665' : 'thousandths of g or counts'),
};
/** The Earth gives 22 to 67 microtesla; iron on the board adds up to some hundred. */
const fieldUt: Range = {
  high: 2000,
  guess: (typical) => (typical < 200_000 ? 'nanotesla: divide by 1000' : 'counts: name the columns _raw'),
};
/** Even with one axis across the field, the strongest axis of a tumble stays above this; a whole field of gauss never is. */
const leastFieldUt = 3;

const otherUnit = 'a unit that differs from the rest of the column';

/** Watches blocks of rows for a column in another unit than its name says; half of a block must agree, so that single spikes pass. */
class UnitWatch {
  private readonly sensor: { triple: Triple; range: Range; isField: boolean };
  private readonly above = [0, 0, 0];
  private readonly sums = [0, 0, 0];
  private weak = 0;
  private rows = 0;

  constructor(triple: Triple, sensor: 'accelerometer' | 'magnetometer') {
    const isField = sensor === 'magnetometer';
    this.sensor = { triple, range: isField ? fieldUt : accelG, isField };
  }

  /** In g or microtesla, whatever unit the column names. */
  add(x: number, y: number, z: number): void {
    const size = [Math.abs(x), Math.abs(y), Math.abs(z)];
    for (let i = 0; i < 3; i += 1) {
      if (size[i] > this.sensor.range.high) {
        this.above[i] += 1;
        this.sums[i] += size[i];
      }
    }
    if (Math.max(...size) < leastFieldUt) this.weak += 1;
    this.rows += 1;
  }

  /** The verdict on the rows since the last call: the column and its likely unit, or nothing. */
  verdict(): { column: string; what: string; unit: string } | undefined {
    const { triple, range, isField } = this.sensor;
    const least = Math.max(1, this.rows / 5);
    const typical = this.above.map((count, i) => (count > least ? this.sums[i] / count : 0));
    const at = typical.indexOf(Math.max(...typical));
    const result =
      typical[at] > 0
        ? {
            column: triple.names[at],
            what: `values about ${typical[at].toPrecision(3)}${triple.factor === 1 ? '' : isField ? ' microtesla' : ' g'} are out of all range`,
            unit: triple.factor === 1 ? range.guess(typical[at]) : otherUnit,
          }
        : isField && this.weak > this.rows / 2
          ? {
              column: triple.names[0],
              what: `the whole field stays under ${leastFieldUt} microtesla`,
              unit: triple.factor === 1 ? 'gauss: multiply by 100' : otherUnit,
            }
          : undefined;
    this.above.fill(0);
    this.sums.fill(0);
    this.weak = 0;
    this.rows = 0;
    return result;
  }
}
