/** How old a reading is, in steps that do not flicker while it streams. */
export const ageWords = (ageS: number): string => (ageS < 1 ? 'less than 1 s old' : `${Math.floor(ageS)} s old`);
