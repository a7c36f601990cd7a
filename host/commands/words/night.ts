/** What `night` says. */
export const texts = {
  written: (file: string): string => `Written: ${file}`,
  sheetWritten: 'The night sheet was written.',
  howANightGoes: 'See how a night goes: lodepole night --virtual orchard',
  nightsAhead: (nights: string): string =>
    `The log also has nights later than this computer's clock shows: ${nights}. They do not count. Check the clock.`,
  simulated:
    'Hands, mount and eyepiece are simulated. The errors are found from the samples of the board, the clock and the eye. Locking moves this mount by nearly the same amount each time; about a third of it varies.',
  scene: (name: string): string => `${name}, an invented scene`,
};
