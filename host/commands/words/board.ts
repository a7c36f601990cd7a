/** What `board` says. */
export const texts = {
  blinks: (source: string): string => `${source} answers, and its light blinks. Go out of doors, away from iron.`,
  keepsAxes:
    'The board now uses this orientation and keeps it. Tumble and swing again: your earlier calibration no longer applies.',
  setForNow: 'The board now uses this orientation, but loses it at its next start.',
  olderProgram:
    'The firmware on this board is too old: its orientation cannot be set. Flash the board, then repeat the check.',
  pose: (index: number, count: number, what: string): string =>
    `${index} of ${count}. ${what} Hold it still and press Enter (q ends).`,
  movedOrSilent: 'The board moved, or sent nothing. Try again.',
  looking: 'Looking for a board; this may take some seconds for each port.',
  answers: (source: string): string => `${source} answers.`,
  howToFlash: (command: string): string =>
    `\nTo flash the firmware (115200; boards with an old boot loader need -b 57600):\n  ${command}`,
  noPorts: 'Ports: none found.',
  ports: 'Ports:',
  usb: (vendor: string, product: string, serialNumber: string, maker: string): string =>
    `  USB ${vendor}:${product} ${serialNumber} ${maker}`,
  mayOpen: 'you may open it',
  mayNotOpen: (group: string | undefined): string =>
    `you may NOT open it${group === undefined ? '' : `, group ${group} may`}`,
  installRule:
    '  To get access at the screen of this computer: lodepole board --udev install\n' +
    '  It keeps modem services off the board as well. Unplug the board and plug it in again afterwards.',
  keepModemsOffOurs: '  To keep modem services off the board: lodepole board --udev install',
  access: (command: string): string =>
    `  To get access from anywhere, for a service or over ssh, too: ${command}\n  then log out and in.`,
  withoutRights:
    '  This needs administrator rights, once. Without them, ask the person who has them, or use another computer.',
  keepModemsOff: (file: string): string =>
    `  The rule that Lodepole brings does not know this adapter. To give access to it and keep modem services off, add this line to ${file}:`,
  atAddress: (address: string): string => ` at address ${address}`,
  chipSilent: (name: string): string => `${name}, does NOT answer`,
  chipUnknown: (place: string, identity: string): string =>
    `NOT known: a chip${place} answers with identity ${identity}. It may be a clone; the firmware does not use it.`,
  chip: (name: string, place: string, identity: string, orientation: string): string =>
    `${name}${place}, identity ${identity}, orientation ${orientation}`,
  firmware: (version: string, protocol: number, hz: number): string =>
    `  firmware ${version}, protocol ${protocol}, ${hz} samples a second`,
  noSelfTest: 'Self-test: NO answer.',
  selfTest: 'Self-test:',
  verdict: (isPassed: boolean, name: string, value: number, low: number, high: number): string =>
    `  ${isPassed ? 'pass' : 'FAIL'}  ${name}: ${value} (from ${low} to ${high})`,
  copying: (image: string, name: string, folder: string): string => `Copying ${image} to ${name} at ${folder}.`,
  waitingForStart: 'Waiting for the board to start.',
  atMost: (seconds: number): string => `of ${seconds} s at most`,
  runs: (boardId: string, version: string): string => `Board ${boardId} runs firmware ${version}.`,
  noHelloYet: 'The image was written, but no board has answered yet. Plug the board in again, then run: lodepole board',
  otherVersion: (boardId: string, says: string, version: string): string =>
    `Board ${boardId} reports firmware ${says}, not ${version}.`,
  flashing: (port: string, baud: number): string => `Flashing ${port} at ${baud} baud.`,
  ruleInstalled: (file: string): string =>
    `The rule is in ${file}. Run udevadm control --reload, or plug the board in again after a restart.`,
};
