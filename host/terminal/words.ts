/** What the terminal says beside the needles. */
export const texts = {
  soundOff: 'Sound off.',
  hear: (axis: string): string =>
    `You hear the ${axis}: the bell quickens toward zero, and rings three times when the needles cannot show a smaller error. Press s to change it.`,
  turnBolt: (caution: string, how: string): string =>
    `${caution} Turn one bolt one whole turn${how}, let it rest, then press a (altitude) or z (azimuth). Esc leaves.`,
  pressFirst: 'Press k first, then turn the bolt.',
  handsOff: 'Hands off: the count goes on by itself once the needles are still. Esc leaves.',
  again: (why: string, whatToDo: string): string => `${why} ${whatToDo} Press k to try again.`,
  virtualHands: (words: string): string => `Virtual hands: ${words}. Wait.`,
  areTheyTight: 'Are the bolts tight and the hands off? Then press t. Esc leaves.',
  thenPress: (instruction: string): string => `${instruction} Then press t.`,
  keepAxis: (instruction: string): string => `${instruction} Do not turn the right-ascension axis. Esc leaves.`,
  waitForNeedles: 'Wait for the needles first.',
  tooEarly: (why: string, whatToDo: string): string => `Too early: ${why} ${whatToDo}`,
  leaveBolts: 'Leave the bolts until the needles are back.',
  offClip: 'The board is off its clip, or sits in it differently than at the swing.',
  typeSite: (siteUnknown: string): string =>
    `${siteUnknown} Type it on the page, in the step Site, or leave with q and save it: lodepole site`,
  boltsLocked: `The virtual bolts are locked. An arrow key loosens its bolt and turns it.`,
  yourHands: (turns: string): string => `Your hands only: one press of an arrow key turns a virtual bolt by ${turns}.`,
  anyKey: (words: string): string => `${words} Any key takes over.`,
};
