/** What `standoff` says. */
export const texts = {
  refusedSoNotSaved: 'The deviation is not saved: the stand-off was refused.',
  noSiteSoNotSaved: 'The deviation is not saved: no site is known, or the scene is invented.',
  saved: (stay: string): string => `The deviation is saved with the site; the needles use it from now on. ${stay}`,
  enough: 'Enough: press Enter to finish.',
  handsClamp: (microtesla: number): string =>
    `Practice: the virtual hands clamp a piece of iron below the clip, ${microtesla} microtesla at the board, and change the spacers.`,
  onSpacer: (millimetres: number): string => `On the spacer of ${millimetres} mm`,
  withoutSpacer: 'Without a spacer',
  putSpacer: (millimetres: number): string =>
    `Put the spacer of ${millimetres} mm under the board without turning it, then press Enter.`,
  takeSpacerAway: 'Take the spacer away without turning the board, then press Enter.',
};
