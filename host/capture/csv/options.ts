import { InvalidArgumentError, type Command } from 'commander';

/** How a CSV is read where the file itself does not say. */
export interface CsvOptions {
  /** Names for the columns in their order, parted by commas; - for one to skip, -name for one that counts the other way. */
  columns?: string;
  /** A word of the names of the sensor that is wanted, where there are several. */
  sensor?: string;
  /** Rows a second, where no column holds the time. */
  rateHz?: number;
}

/** As commander hands them over. */
export interface CsvCommandOptions {
  columns?: string;
  sensor?: string;
  rate?: number;
}

const rate = (text: string): number => {
  const value = Number(text);
  if (text.trim() === '' || !(value > 0 && value <= 1e5))
    throw new InvalidArgumentError('Give the number of rows per second.');
  return value;
};

export const addCsvOptions = (command: Command): Command =>
  command
    .option(
      '--columns <names>',
      "names for the CSV's columns in order: t_s,ax_g,ay_g,az_g,-,mx_ut,my_ut,mz_ut (- skips a column, -ax_g reverses its sign)",
    )
    .option(
      '--sensor <word>',
      'where a CSV holds several sensors of one kind: a word in the column names of the one to use',
    )
    .option('--rate <hz>', 'rows per second, for a CSV without a time column', rate);

export const csvOptionsOf = ({ columns, sensor, rate }: CsvCommandOptions): CsvOptions => ({
  columns,
  sensor,
  rateHz: rate,
});
