/** What `level` says. */
export const texts = {
  noted: (what: string): string => `Level: ${what}`,
  pressWhenRested: 'Press Enter when the board has rested.',
};
