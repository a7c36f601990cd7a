/** What `drift` says. */
export const texts = {
  scaleNorth: (lead: string, scale: string): string => `${lead}${scale} north`,
  leftScale: 'The star has left the scale: type the name of the other star, or q.',
  simulatedMount: 'The mount is simulated and points where the last nudge left it; its drive runs at the right rate.',
  practised:
    'This was practice: nothing was saved. With a real mount: lodepole drift --list, then lodepole drift --star NAME',
  virtualMount: (scene: string): string => `virtual mount, scene ${scene} (invented)`,
  watched: (minutes: string, division: string): string => `${minutes} minutes; one division is ${division}:`,
  drifts: (name: string, isSouth: boolean, perMinute: string, giveOrTake: string): string =>
    `${name} drifts ${isSouth ? 'south' : 'north'} ${perMinute}″ a minute, give or take ${giveOrTake}″.`,
  oneStarOneDirection: 'One star shows one direction only. Watch a second one far from it.',
  shows: (name: string, where: string, what: string): string => `${name} ${where} shows the ${what}`,
  watchOneThenOther: (practice: string, star: string): string =>
    `Watch one for the azimuth, then one for the altitude: lodepole drift${practice} --star ${star}`,
  driveFollows: (name: string): string =>
    `The virtual drive follows ${name}. Type how far north of the start the star stands (south: minus), then Enter.`,
  centre: (name: string): string =>
    `Centre ${name} with the drive running. Every half minute type how far north of the start it stands.`,
  halfMinutes: 'Each Enter lets half a minute pass; Enter alone makes no reading.',
  keys: "Type another star's name to switch to it, u to undo, q to end. Five minutes on each star beat extra readings.",
  goOn: (few: string): string => `${few} Go on, or type q again to end with the readings so far.`,
  takenBack: (reading: number, name: string): string => `The reading ${reading} of ${name} is taken back.`,
  nothingYet: 'There is no reading yet.',
  tooFew: (name: string, count: number, fewest: number): string =>
    `${name} has ${count} of the ${fewest} readings that it needs.`,
  nowStar: (name: string): string => `Now ${name}.`,
};
