/** What is said of a nudge on a star. */
export const texts = {
  inCentre: 'in the centre',
  wayToEdge: (percent: string): string => `${percent} % of the way to the edge`,
  fromCentre: (distance: string, hour: number, parts: string): string =>
    `${distance} from the centre toward ${hour} o'clock (${parts})`,
  findWest: (isMirrored: boolean): string =>
    `Stop the drive for a moment: the star drifts toward west. Call that side 3 o'clock${isMirrored ? '; this picture is mirrored, as by a diagonal' : ''}.`,
  expected: (now: string, after: string): string =>
    `Expected distance from the pole: ${now} now, ${after} after this nudge.`,
  leaveBolts: (expected: string): string =>
    `Leave the bolts: a nudge on this star brings the axis no nearer to the pole. ${expected}`,
  centre: (hasSteps: boolean, step: number, steps: number, name: string): string =>
    `${hasSteps ? `Step ${step} of ${steps}: centre` : 'Centre'} ${name} with the drive running.`,
  turnAltitude: (place: string): string => `Turn the altitude bolt until the star stands ${place}.`,
  turnAzimuth: (place: string): string => `Turn the azimuth bolts until the star stands ${place}.`,
  howSure: (arcmin: string): string => `This place is uncertain by ${arcmin}, because the axis and the base are.`,
  doItSoon:
    "Do it within a few minutes of centring. Then enter where the star stands: tonight's answer continues from there.",
};
