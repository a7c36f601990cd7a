/** What the steps "Lock" and "Load" of the page says. */
export const texts = {
  onlyDifference: (mount: string | undefined): string =>
    `Only the difference counts, so variation and iron cancel out.${mount === undefined ? '' : ` It is remembered for the mount ${mount}.`}`,
  restBefore: 'rest before',
  keepAxis: 'Do not turn the right-ascension axis meanwhile.',
  startButton: 'Start',
  movedBy: (arcmin: string): string => `moved ${arcmin}′`,
  noShift: 'no measurable shift',
  altitudeMoved: 'Altitude moved',
  azimuthMoved: 'Azimuth moved',
  noted: (moved: string): string => `The axis moved by ${moved}.`,
};
