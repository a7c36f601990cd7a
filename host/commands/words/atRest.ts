/** What is said of a board that does not rest. */
export const texts = {
  noHello: 'The board did not identify itself.',
  noRest: 'The needles did not come to rest.',
};
