/** What is said of sights. */
export const texts = {
  axisPoints: (altitude: string, azimuth: string): string => `The polar axis points ${altitude}; ${azimuth}.`,
  howSure: (count: number, arcmin: string): string =>
    `${count} ${count === 1 ? 'sight' : 'sights'}: position uncertain by ${arcmin}′ on the sky.`,
  oneMoreHelps: 'Another sight would help.',
  noFurtherStar: 'No further star is recommended.',
  nudgeFirst: 'Nudge first.',
  next: (name: string, where: string, side: string): string =>
    `Next: ${name}, ${where}, with the tube ${side} of the mount.`,
  noMoreHelpsNudge: 'Another sight no longer helps: nudge first.',
  noMoreHelps: 'Another sight no longer helps: go on to drift, or begin to observe.',
  handsOff: 'Hands off: gravity is read for one second, at rest.',
  noRest: 'The mount did not come to rest, so the sight was not taken. Centre the star and press again.',
  noted: (name: string): string => `The sight of ${name} is taken.`,
  centre: (name: string, where: string, side: string): string =>
    `Centre ${name}, ${where}, with the tube ${side} of the mount.`,
};
