/** What is said of a tumble. */
export const texts = {
  covered: 'All sides are covered: finish, or go on for a smaller uncertainty.',
  goOn: 'Go on turning slowly.',
  moreGently: (next: string): string => `More gently. ${next}`,
  accepted: 'Tumble accepted.',
  refused: 'Tumble REFUSED. Your earlier calibration is unchanged.',
  sensorAccepted: (sensor: string): string => `The ${sensor} alone: accepted.`,
  sensorRefused: (sensor: string): string => `The ${sensor} alone: REFUSED. Your earlier calibration is unchanged.`,
  usedRejected: (used: number, rejected: number): string =>
    `${used} ${used === 1 ? 'reading' : 'readings'} used, ${rejected} rejected`,
};
