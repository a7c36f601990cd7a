/** What the level says. */
export const texts = {
  layFlat: (position: string): string =>
    `Lay the board flat on the base, z upward, x toward ${position}, and let it rest.`,
  turnRound: 'Now turn the board by half a turn on the same spot.',
  finish: 'Enough. Finish here.',
  higher: (degrees: string, side: string): string => `${degrees} degrees higher in the ${side}`,
  tilt: (along: string, across: string, giveOrTake: string, isUnchecked: boolean): string =>
    `The base is ${along} and ${across}, ` +
    `give or take ${giveOrTake} degrees.` +
    (isUnchecked ? ' Without a magnetometer, the program cannot check that it was half a turn.' : ''),
  leaveIt: 'Leave it as it is: set the azimuth first and the altitude last.',
  levelEnough: 'Level enough: set either bolt first.',
  arcminutes: (count: string): string => `${count} arcminutes`,
  independent: 'Neither adjuster disturbs the other.',
  weakCoupling: (most: string): string => `A degree on one adjuster moves the other axis by ${most} at most.`,
  coupling: (isRaised: boolean, altitude: string, azimuth: string, isEast: boolean): string =>
    `Each degree on the azimuth bolts toward east ${isRaised ? 'raises' : 'lowers'} the axis by ${altitude}; each degree upward on the altitude bolt moves it ${azimuth} toward ${isEast ? 'east' : 'west'}.`,
};
