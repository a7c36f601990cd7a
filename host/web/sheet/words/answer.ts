/** What the step "Answer of the night" of the page says. */
export const texts = {
  title: 'Answer of the night',
  logIsEmpty: 'The log is empty. Take sights of stars, the shadow of the Sun, or the drift of a star.',
  whatItJoins: "This joins all of tonight's measurements, each with its weight and age.",
  boltsTurn: 'The bolts are turning: the answer follows once they rest.',
  needlesCarryIt: 'The needles carry this answer while you turn the bolts.',
  compassOnly: 'So far the needles use the compass only.',
  disagree: 'Caution: the measurements disagree. Repeat the most reliable one.',
  leaveBolts: 'Leave the bolts as they are.',
  distance: 'From the pole',
  was: (kind: string, ago: string): string => `${kind}, ${ago} ago`,
  whatGiveOrTakeMeans: `"Give or take" holds 19 times in 20. Azimuth counts along the horizon; on the sky it is smaller: multiply it by the cosine of the altitude. Nudges that you did not report count only as far as the needles noticed them.`,
  howToPrint: 'The night sheet shows all this on paper. To save it as a file: lodepole night --html night.html',
  knocked: 'The tripod was knocked: start again',
  discarded: 'Earlier measurements were discarded.',
  weights: (altitude: string, azimuth: string): string => `altitude ${altitude}, azimuth ${azimuth} percent`,
};
