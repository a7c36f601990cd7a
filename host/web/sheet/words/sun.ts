/** What the step "Sun by shadow" of the page says. */
export const texts = {
  title: 'Sun by shadow',
  begin:
    'By day, stand a pin square on the face of the board. Read the angle of its shadow, from the x arrow toward the y arrow.',
  turnFaceLevel: 'Turn the axis so that the face of the board lies about level.',
  howFine:
    'A shadow read to half a degree gives the azimuth about as well as the compass, and iron does not disturb it.',
  atNight: 'At night, sights of stars are ten times better.',
  shadowLabel: 'Angle of the shadow, degrees',
  readButton: 'Read it now',
  answerIncludesIt: 'The answer of the night includes it.',
  azimuthLabel: 'Azimuth by the Sun',
  sunStood: 'The Sun stood',
  high: (degrees: string): string => `${degrees}° high`,
  compassAgainstSun: 'Compass against the Sun',
  keepButton: 'Keep this deviation for the site',
  virtualSun: (when: string, isOtherHour: boolean): string =>
    `The virtual Sun stands as at ${when}${isOtherHour ? ', whatever the hour now' : ''}. The drawing shows its shadow.`,
  noShadowYet: 'No shadow can be read while the board stands like this. Let the hands turn its face level.',
  handsTurnButton: 'Hands turn the face level',
  handsReadButton: 'Hands read the shadow',
  deviationSaved: 'The deviation is saved with the site. The compass is corrected by it from now on.',
};
