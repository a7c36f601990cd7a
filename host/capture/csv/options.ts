import { InvalidArgumentError, type Command } from 'commander';

/** How a CSV is read where the file itself does not say. */
export interface CsvOptions {
  /** Names for the columns in their order, parted by commas; - for one to pass over, -name for one that counts the other way. */
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
  if (text.trim() === '' || !(value > 0 && value <= 1e5)) throw new InvalidArgumentError('Give rows a second.');
  return value;
};

export const addCsvOptions = (command: Command): Command =>
  command
    .option(
      '--columns <names>',
      "names for the CSV's columns in order: t_s,ax_g,ay_g,az_g,-,mx_ut,my_ut,mz_ut (- passes over, -ax_g turns the sign)",
    )
    .option('--sensor <word>', 'of several sensors in a CSV the one whose names hold this word')
    .option('--rate <hz>', 'rows a second of a CSV without a time', rate);

export const csvOptionsOf = ({ columns, sensor, rate }: CsvCommandOptions): CsvOptions => ({
  columns,
  sensor,
  rateHz: rate,
});
