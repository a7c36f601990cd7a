/** What the step "Lock" of the page says. */
export const texts = {
  title: 'Lock',
  againButton: 'Lock again',
  handsButton: 'Hands lock the bolts',
  tightenNow: 'tighten now',
  tightenButton: 'Now tighten',
  tightButton: 'They are tight',
  ifTooFar: 'If that is too far: loosen the bolts, offset the axis by as much the other way, and lock again.',
  thenProve: 'Watch the drift of a star: it proves where the axis stands now.',
  pressFirst: 'Press the button before you tighten the bolts: it records where the axis points.',
};
