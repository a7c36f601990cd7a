/** What the five poses of the board say. */
export const texts = {
  poseZ: 'Lay the board down with its arrow Z pointing up.',
  poseX: 'Hold the board with its arrow X pointing up.',
  poseY: 'Hold the board with its arrow Y pointing up.',
  poseNorth:
    'Lay the board down with Z up. Turn it until X points to magnetic north by a compass, then put the compass away.',
  poseEast: 'Leave Z up and turn the board a quarter turn to the right, seen from above: X points east.',
  axesRight: (sensor: string): string => `The ${sensor}'s axes are right.`,
  turned: (sensor: string, orientation: string, now: string): string =>
    `The board is set to a wrong orientation of the ${sensor}: it is ${orientation}, not ${now}.`,
  mirrored: (sensor: string): string =>
    `The ${sensor}'s axes are mirrored: one of them counts backward, which no mounting can cause. Check that you held every pose as asked, and repeat. If the result is the same, do not use this chip: it is not the one that it reports to be.`,
  gravityUnfit: (poses: string): string =>
    `Gravity does not fit the poses, least of all in the ${poses}. Repeat, and hold the board still, within 15 degrees of each pose.`,
  fieldUnfit:
    'The field does not fit the last two poses. Go away from iron and repeat. Put the compass away once X points north, then turn the board by a quarter turn only.',
  siteFirst: (words: string): string => `${words} To check its vertical axis for mirroring as well, save a site first.`,
};
