/** What several steps of the page says. */
export const texts = {
  rehearsed: 'Virtual hands have already done this for the needles. Do it here to see how.',
  underWayLabel: 'Under way',
  handsLabel: 'Hands',
  finishButton: 'Finish',
  giveUpButton: 'Give up',
  sized: (angle: string, band: string): string => `${angle}, give or take ${band}`,
  sidedReading: (reading: string, band: string): string => `${reading}, give or take ${band}`,
  azimuth: 'Azimuth',
  altitude: 'Altitude',
  goneOn: (clock: string, readings: number): string => `${clock}, ${readings} readings`,
  siteChanged: 'The site was changed: earlier measurements no longer count.',
};
