/** What the step "Load" of the page says. */
export const texts = {
  title: 'Load',
  againButton: 'Measure it again',
  handsButton: 'Hands put the load on',
  putItOnNow: 'put it on now',
  putOnButton: 'Now put it on',
  onButton: 'Everything is on',
  thenNudge: 'Balance the mount. Bring the axis back with the next nudge.',
  thenBalance: 'Balance the mount.',
  aLoad: 'a load',
  pressFirst: 'Press the button before you put anything on: it records where the axis points. Weights go on first.',
  nameLabel: 'What goes on',
  nameHint: 'refractor',
};
