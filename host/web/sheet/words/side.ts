/** What the step "Side of the mount" of the page says. */
export const texts = {
  title: 'Side of the mount',
  nameTarget:
    'Name a target, or list what can be seen now. The answer says on which side of the mount the tube belongs, and when to flip.',
  counterweightBelow: 'The counterweight then stays below the tube.',
  targetLabel: 'Star or planet',
  targetHint: 'Capella',
  observe: 'Observe.',
  listButton: 'List what can be seen now',
  showButton: 'Show this target',
  target: (name: string, where: string): string => `${name}, ${where}`,
  belongs: (side: string, until: string): string => `tube ${side}; ${until}`,
  tubeSide: (side: string): string => `tube ${side}`,
  noted: 'The sides of the mount were looked up.',
};
