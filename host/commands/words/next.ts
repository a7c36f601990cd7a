/** What `next` says. */
export const texts = {
  noBoardYet: 'No board yet? Practise: lodepole tumble --virtual orchard, or watch a whole evening: lodepole rehearse',
};
