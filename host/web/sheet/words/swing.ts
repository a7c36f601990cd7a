/** What the step "Swing" of the page says. */
export const texts = {
  againButton: 'Swing again',
  startButton: 'Start',
  handsButton: 'Hands swing the axis',
  fixedButton: 'Start on a fixed part',
  handsFixedButton: 'Hands swing with a fixed board',
  turnInSteps:
    'Clip the board to the part that turns. Turn the right-ascension axis in steps, and let it rest at each.',
  turnFar: 'Turn it by 90 degrees or more: the further, the better.',
  handsCanFix: 'The hands can also clip the board on a fixed part. That is practice: the needles do not use it.',
  noRoom:
    'No room on the part that turns? Clip the board on a fixed part along the polar axis, x arrow toward the pole, and press "Start on a fixed part".',
  whatCancels: 'The clip need not be square. Iron that turns with the axis cancels out.',
  thenNudge: 'Nudge the bolts by the needles.',
  axisFromSwing: 'Axis from the swing just made.',
  axisRecalculated: "Axis from tonight's swing, recalculated for this site. Swing again if the mount was moved.",
  noted: 'The axis was swung.',
  title: 'Swing',
  rests: (count: number, degrees: string): string => `${count} ${count === 1 ? 'rest' : 'rests'}, ${degrees}°`,
  restsLabel: 'Rests',
  restsFace: (count: number, isReversed: boolean): string => `${count}${isReversed ? ', end for end' : ''}`,
  turnedLabel: 'Turned through',
  leftOutLabel: 'Left out',
  leftOut: (count: number): string => `${count}, of a board off its clip`,
  fourRests: 'The first result appears after four rests.',
  soFar: (altitude: string, azimuth: string): string =>
    `So far: altitude give or take ${altitude}, magnetic azimuth give or take ${azimuth}.`,
  finishOrReverse: 'Finish, or turn the board end for end for a better altitude.',
  reversedButton: 'The board is end for end',
  secondWay: 'end for end',
  firstWay: 'first way round',
  leaveAxis:
    'Leave the axis where it is. For the first rest point the x arrow to the pole, for the second away from it.',
  off: (distance: string): string => `${distance} off`,
  practised:
    'The axis is found. This was practice: the hands have put the board back on its clip, and the needles do not use it.',
  found: 'The axis is found, and the needles use it now. Leave the board as it is clipped.',
  azimuth: 'Azimuth',
  altitude: 'Altitude',
  fromPole: (distance: string, unseenIron: string): string =>
    `From the pole: ${distance}. Most of this uncertainty comes from the magnetic model. ${unseenIron}`,
  fromPoleOnSeat: (distance: string, seat: string): string => `From the pole: ${distance}. ${seat}`,
  thenNudgeSeat: (isFixed: boolean): string =>
    `Nudge the bolts by the needles.${isFixed ? ' Sights or drift then show the error of the seat.' : ''}`,
  swingAgain: 'Swing again.',
  turned: (degrees: string, rests: number): string => `${degrees}°, ${rests} rests`,
  scatterLabel: 'Scatter of the rests',
  scatter: (angle: string): string => `${angle} rms`,
  ironLabel: 'Iron that turns with the axis',
  iron: (microtesla: string): string => `${microtesla} µT, corrected for`,
};
