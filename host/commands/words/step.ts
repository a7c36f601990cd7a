/** What the steps say of the board that they use. */
export const texts = {
  uncalibrated: 'Without a calibration the axis found is off by degrees.',
  virtualTumbled: 'Virtual hands tumbled the virtual board first.',
  virtualSwung: 'Virtual hands tumbled and swung the virtual board first.',
};
