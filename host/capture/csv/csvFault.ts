import { CsvError } from 'csv-parse';

const words: Readonly<Record<string, string>> = {
  CSV_RECORD_INCONSISTENT_COLUMNS: 'not as many columns as in the header',
  CSV_RECORD_INCONSISTENT_FIELDS_LENGTH: 'not as many columns as in the line before',
  CSV_QUOTE_NOT_CLOSED: 'a quotation mark is never closed',
  CSV_INVALID_CLOSING_QUOTE: 'a quotation mark stands inside a value',
  INVALID_OPENING_QUOTE: 'a quotation mark stands inside a value',
  CSV_NON_TRIMABLE_CHAR_AFTER_CLOSING_QUOTE: 'something stands between a quotation mark and the comma',
  CSV_MAX_RECORD_SIZE: 'longer than 64 kB',
};

/** Why a CSV cannot be taken apart, in words. */
export const csvFaultWords = (error: unknown): string =>
  (error instanceof CsvError ? words[error.code] : undefined) ?? 'it cannot be split into columns';

/** As `csvFaultWords`, with the line. */
export const csvFaultPlace = (error: unknown): string =>
  error instanceof CsvError && Number.isFinite(Number(error.lines))
    ? `line ${Number(error.lines)}: ${csvFaultWords(error)}`
    : csvFaultWords(error);
