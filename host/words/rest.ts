/** Hands are slow to let go: no shorter rest is asked for. */
const shownS = 2;

/** How long to let the mount rest: `two seconds`, `7 seconds`. */
export const restWords = (wantedS: number): string =>
  wantedS <= shownS ? 'two seconds' : `${Math.ceil(wantedS)} seconds`;
