/** What one press of an arrow key turns a bolt of a virtual mount. */
export const turnsPerPress = 1 / 16;
export const turnsPerPressWords = '1/16 turn';
