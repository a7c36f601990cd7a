/** What `lock` and `load` say. */
export const texts = {
  noSample: 'The board sent no usable sample.',
  enterGoesOn: 'Press Enter to go on to the next instruction.',
  readOnStar: (moved: string, star: string): string => `${moved} Measured on ${star} in the eyepiece.`,
  noLoad: 'No load is remembered for this mount yet: lodepole load --name refractor',
  notMeasured: (what: string): string => `What ${what} does to this mount has not been measured yet.`,
};
