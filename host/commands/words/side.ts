/** What `side` says. */
export const texts = {
  noted: 'The sides of the mount were looked up.',
  sideOf: (name: string, side: string): string => `${name}: tube ${side} of the mount.`,
  nothingVisible: 'Nothing on the list is visible from here now.',
  row: (name: string, where: string, side: string, until: string): string => `${name} ${where} tube ${side}  ${until}`,
};
