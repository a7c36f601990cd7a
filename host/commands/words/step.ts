/** What the steps say of the board that they use. */
export const texts = {
  uncalibrated: 'Without a calibration the axis found is off by degrees.',
  virtualTumbled: 'The virtual board was tumbled by its own hands first.',
  virtualSwung: 'The virtual board was tumbled and swung by its own hands first.',
};
