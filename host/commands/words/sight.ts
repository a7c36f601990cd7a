/** What `sight` says. */
export const texts = {
  row: (name: string, where: string, side: string): string => `${name} ${where} tube ${side} of the mount`,
  caution: (why: string, whatToDo: string): string => `Caution: ${why} ${whatToDo}`,
  takeFirst: 'Take the first, then follow the program: lodepole sight',
  practised: 'This was practice: nothing was saved. With a board: lodepole sight',
  handsTake: (when: string): string =>
    `The virtual hands take the sights in an invented scene, for practice. Its sky shows ${when}.`,
  centring: (name: string, where: string, side: string): string =>
    `Centring ${name}, ${where}, with the tube ${side} of the mount.`,
  noRest: 'The mount did not come to rest.',
  howToTake:
    'Centre the star, take your hands off and press Enter. If you took another star, type its name and its side (west\nor east) instead. Type n before and after a nudge of the bolts, u to undo, q to end.',
  turnBolts: 'Turn the bolts; type n again when the mount is at rest.',
  sightsCount: 'Your earlier sights still count.',
};
