/** What `site --trace` says. */
export const texts = {
  sweep: (percent: number): string =>
    `Point the x arrow of the board at the tree line and sweep along it, slowly: ${percent} percent of the horizon. Enter finishes.`,
};
