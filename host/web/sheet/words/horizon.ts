/** What the step "Horizon" of the page says. */
export const texts = {
  title: 'Horizon',
  siteFirst: 'Type the site first.',
  whyMark: 'Stars behind trees are not recommended.',
  swept: (percent: string): string => `${percent} percent`,
  sweep: "Point the board's x arrow at the tree line. Sweep slowly along it, once round.",
  margin: 'The program adds two degrees to your trace.',
  hidden: (count: number): string => `${count} stretches hidden`,
  kept: (isUntilEnd: boolean): string =>
    `Saved ${isUntilEnd ? 'until the program ends' : 'with the site'}: stars behind it are not recommended.`,
  sayWhatHides: 'Say what hides the sky: the program then recommends visible stars only.',
  howToMark: 'Type it, or trace it: before you clip the board on, hold it and sweep its arrow along the tree line.',
  otherStar: "If you cannot see the recommended star, type another star's name.",
  nextStep: 'Level the base, or go on to the swing.',
  sectorsLabel: 'Hidden: from-to:altitude, clockwise',
  sectorsHint: '330-60:55, 120-180:20',
  keepButton: 'Keep what is typed',
  traceButton: 'Trace it',
  handsButton: 'Hands sweep the board',
};
