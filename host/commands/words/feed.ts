/** What is said while a step is fed. */
export const texts = {
  nothingToPress: 'Virtual hands do this; there is nothing to press.',
  readings: (count: number): string => `${count} readings`,
  hands: (words: string): string => `hands: ${words}`,
};
