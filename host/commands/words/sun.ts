/** What `sight --sun` says. */
export const texts = {
  bySun: (angle: string, side: string, giveOrTake: string): string =>
    `By the Sun the polar axis points ${angle} too far ${side}, give or take ${giveOrTake}.`,
  compassWas: (angle: string, side: string): string =>
    `Compared with the Sun, the compass showed ${angle} too far ${side}: the error of the variation and the deviation of this place together.`,
  practised: 'This was practice: nothing was saved. With a board: lodepole sight --sun',
  handsTurn: 'The virtual hands turn the axis until the face of the board is as level as possible.',
  virtualSun: (when: string, isOtherHour: boolean): string =>
    `The virtual Sun stands as at ${when}${isOtherHour ? ', whatever the hour now' : ''}.`,
  whereShadowFalls: 'Where its shadow falls on the scale, in degrees from the x arrow toward the y arrow:',
  eyeReads: (degrees: string, utc: string): string =>
    `The virtual eye reads ${degrees}. To read it yourself, add --at ${utc} --shadow DEGREES.`,
  youGive: (yours: string, degrees: string): string => `You give ${yours}; the virtual eye reads ${degrees}.`,
};
