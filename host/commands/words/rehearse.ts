/** What `rehearse` says. */
export const texts = {
  simulated: 'Hands, mount and iron are simulated. The figures below are found from the samples of the board alone.',
  virtualBoard: 'virtual board',
};
