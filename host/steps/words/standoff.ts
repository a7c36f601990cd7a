/** What is said of iron below the clip. */
export const texts = {
  begin: 'Begin with the board in its clip, no spacer under it.',
  rest: 'Hands off: let the board rest.',
  finish: 'Enough. Finish here, or go on with a longer spacer.',
  putSpacer: (isTwice: boolean): string =>
    `Put a spacer of wood or plastic under the board, ${isTwice ? 'twice as long' : 'about 5 cm long'}, without turning the board.`,
  notShown: 'These readings do not show whether iron below the clip turns the compass.',
  hardlyTurns: (where: string, microtesla: string, most: string): string =>
    `Iron shows ${where} (${microtesla} microtesla), but from there it turns the compass by ${most} degrees at most.`,
  noIron: (most: string): string =>
    `No iron was found below the clip: the compass is turned by ${most} degrees at most.`,
  turns: (where: string, degrees: string, isEast: boolean, giveOrTake: string): string =>
    `Iron ${where} turns the compass ${degrees} degrees toward ${isEast ? 'east' : 'west'}, give or take ${giveOrTake}.`,
  noSpacer: 'No spacer is needed.',
  spacer: (centimetres: number): string =>
    `A spacer of ${centimetres} cm of wood or plastic reduces that to less than 0.1 degree.`,
  stay: (millimetres: number): string =>
    `Leave the board on the spacer of ${millimetres} mm. If you swung the axis without it, swing it again.`,
  stayWithout: 'Leave the board without a spacer.',
};
