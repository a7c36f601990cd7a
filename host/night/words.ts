/** What is said of the night: its log, its answer, what comes next. */
export const texts = {
  continueFrom: (measurements: string): string => `The needles continue from ${measurements}.`,
  boltsWereTurned: 'The needles noticed that the bolts were turned.',
  logNotUsed: (why: string, whatToDo: string): string => `The log of this night is not used: ${why} ${whatToDo}`,
  atRest: (errors: string): string => `Needles at rest: ${errors}.`,
  fromTime: (utc: string): string => `from ${utc} UTC`,
  notWithinADay: 'not within a day',
  neverTheSun: (from: string): string =>
    `Never look at the Sun. No star can be taken by day (${from}); the shadow of a pin gives the azimuth.`,
  notDarkEnough: (from: string, minutes: string): string =>
    `It is not dark enough for stars: ${from}, in ${minutes} minutes.`,
  pagePractises: (reason: string): string => `First nudge on a star: the page practises it. ${reason}`,
  oneEntryUnread: (path: string, why: string): string =>
    `One entry in ${path} is ${why}. It stays in the file and does not count.`,
  entriesUnread: (count: number, path: string, why: string): string =>
    `${count} entries in ${path} are ${why}. They stay in the file and do not count.`,
  savedTonight: 'Saved in the log of tonight (lodepole night). The needles start from it.',
  savedForNight: (night: string, tonight: string): string =>
    `Saved under the night of ${night}. It does not count tonight (${tonight} by this computer's clock). ` +
    'If that is wrong, correct the date or the clock and save it again.',
  notKnown: (axis: string): string => `${axis} not known`,
  nudged: (way: string): string => `Nudged ${way}.`,
  moved: (way: string, how: string): string => `Moved ${way}. ${how}`,
  weight: (what: string, ago: string, altitude: number, azimuth: number): string =>
    `${what}, ${ago} ago: weight ${altitude} in altitude, ${azimuth} in azimuth.`,
  azimuthCounts:
    'Azimuth counts along the horizon; on the sky it is smaller: multiply it by the cosine of the altitude.',
  notMeasured: 'The axis has not been measured.',
  fromPole: (distance: string, giveOrTake: string): string =>
    `${distance} from the pole, give or take ${giveOrTake} (19 times in 20)`,
  withinPole: (most: string): string => `within ${most} of the pole (19 times in 20)`,
  axisStands: (far: string, proof: string): string => `The axis stands ${far}, ${proof}.`,
  nothingMeasured: 'Nothing was measured this night.',
  theNight: (night: string): string => `The night of ${night}, times in UTC; "give or take" holds 19 times in 20.`,
  lock: (why: string): string => `${why} Lock the bolts, and let the program measure how far that moves the axis.`,
  observe: (why: string): string => `${why} Observe; first see on which side of the mount each target belongs.`,
  printSheet: (why: string): string => `${why} Print the night sheet when you like: what was measured, set and proved.`,
  askAgain: (why: string): string =>
    `${why} Observe. Ask for the next step again after a knock, or when the measurements are hours old.`,
  nudge: (where: string, after: string): string => `${where}. A nudge on a star brings it to about ${after}, locked.`,
  loosenAndNudge: (where: string, after: string): string =>
    `${where}. A nudge on a star brings it to about ${after}, locked. Loosen the bolts first.`,
  offset: (where: string, after: string, to: string): string =>
    `${where}. A nudge on a star brings it to about ${after}, locked. Before you lock, bring the axis to ${to}, the opposite of what locking does here, and lock.`,
  loosenAndOffset: (where: string, after: string, to: string): string =>
    `${where}. A nudge on a star brings it to about ${after}, locked. Loosen the bolts, bring the axis to ${to}, the opposite of what locking does here, and lock again.`,
  namePlan: (where: string): string => `${where}. Name your plan, as in this example: it decides when to stop.`,
  goodEnough: (where: string, plan: string): string => `${where}: good enough for ${plan}.`,
  lockNow: (where: string): string =>
    `${where}, and the bolts stand where locking should leave the axis at the pole. Lock them now, and let the program measure how far that moves the axis.`,
  drift: (where: string, wanted: string): string =>
    `${where}${wanted}. The drift of two stars, ten minutes each, would now help more than another nudge.`,
  noNearer: (where: string): string => `${where}: another nudge would bring it no nearer.`,
};
