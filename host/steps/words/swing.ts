/** What is said of a swing. */
export const texts = {
  standingIron:
    'A swing cannot detect iron in tripod or pier, which does not turn. If steel is near the clip, measure a stand-off.',
  rests: (count: number, degrees: string, spread: string): string =>
    `${count} rests over ${degrees} degrees; they agree with each other to ${spread} degrees.`,
  turningIron: (microtesla: string): string =>
    `Iron that turns with the axis: ${microtesla} microtesla, corrected for.`,
  axis: (altitude: string, azimuth: string): string =>
    `The axis stands ${altitude} degrees high, ${azimuth} degrees from magnetic north.`,
  noSite: 'Its errors are not known without a site: give --lat and --lon.',
  error: (angle: string, isAngle: boolean, side: string, giveOrTake: string, instruction: string): string =>
    `The axis is ${angle} too ${isAngle ? 'far ' : ''}${side}, give or take ${giveOrTake}. ${instruction}`,
  begin: 'Turn the right-ascension axis to one end of its range, take your hand off, and let it rest.',
  rest: (how: string): string => `Let it rest for ${how}.`,
  finish: 'Enough. Finish here, or keep turning to reduce the uncertainty.',
  keepTurning: (arcmin: number): string =>
    `Keep turning as far as there is room, and let it rest: the axis in the board is still uncertain by more than ${arcmin}′.`,
  turnOn: (more: string): string => `Turn the axis about 30 degrees further and let it rest: ${more}.`,
};
