/** What `swing` says. */
export const texts = {
  enterOrReversed:
    'The board must be in its clip now. Press Enter to finish, or r and Enter once the board is clipped on end for end.',
  nothingSaved: 'Nothing is saved: the virtual hands take the board off the fixed part, back to its clip.',
  savedForVirtual: (boardId: string): string =>
    `The swing is saved for this virtual board only (board ${boardId}). It does not count for any real mount.`,
  saved: 'The swing is saved; the needles use it from now on.',
  dwells: (isReversed: boolean, rests: number, degrees: number, offClip: number): string =>
    `${isReversed ? 'End for end: ' : ''}${rests} so far${degrees > 0 ? ` over ${degrees.toFixed(0)} degrees` : ''}${offClip > 0 ? `, ${offClip} rejected with the board off its clip` : ''}.`,
  clipEndForEnd: 'Clip the board on end for end, then press r and Enter.',
};
