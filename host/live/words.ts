/** What is said of the session: which model, whose hands, a counted bolt. */
export const texts = {
  backlash: (backlash: string): string => `Its backlash: ${backlash}.`,
  measureBacklash: 'Press k for one more turn, then one back: this measures the backlash.',
  oneTurn: (axis: string, degrees: string, giveOrTake: string, next: string): string =>
    `One turn in ${axis} is ${degrees}°, give or take ${giveOrTake}°. ${next}`,
  backlashTurns: (turns: string, giveOrTake: string): string => `${turns} turn, give or take ${giveOrTake}`,
  backlashBelow: (turns: string): string => `less than ${turns} turn`,
  notSwung: 'Not swung: the polar axis is taken along x of the board, give or take 10 degrees. Next: lodepole swing.',
  calibrationFrom: (file: string): string => `Calibration from ${file}.`,
  axisOfSwing: (utc: string): string => `Axis from the swing of ${utc} UTC.`,
  tumbleOnly: 'Only the tumble is used: the axis is taken along x of the board, give or take 10 degrees.',
  notCalibrated: (degrees: string): string => `NOT CALIBRATED: the azimuth is uncertain by ${degrees} degrees.`,
  thenTumble: (reason: string): string => `${reason} Next: lodepole tumble.`,
  noBoard: (why: string): string => `No board found, so this is the VIRTUAL board. (${why})`,
  typeSite: (siteUnknown: string): string =>
    `${siteUnknown} Type it on the page, in the step Site, or give --lat and --lon.`,
  virtualMountAt: (position: string): string =>
    `The virtual mount stands at ${position}, as given, not at the place of its scene.`,
  namesIgnored: '--mount and --clip are ignored: a virtual board has only one of each.',
  handsBegin: 'Virtual hands turn the bolts by themselves until a person presses a key or a button.',
  handsRest: 'Virtual hands rest; they turn the bolts by themselves.',
  axisPractised: (utc: string): string => `Axis from the swing that was practised with this board at ${utc} UTC.`,
  rehearsed: 'Calibrated by a rehearsal: virtual hands have tumbled and swung this same board.',
  swingRefused: (reason: string): string => `The rehearsal's swing was refused: ${reason}.`,
};
