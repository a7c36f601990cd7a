/** With a capital letter, as a sentence begins. */
export const capital = (words: string): string => words[0].toUpperCase() + words.slice(1);
