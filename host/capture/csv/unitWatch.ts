import type { Triple } from './columns.ts';

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

const otherUnit = 'another unit than the column was taken in';

/** Watches blocks of rows for a column in another unit than its name says; half of a block must agree, so that single spikes pass. */
export class UnitWatch {
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
