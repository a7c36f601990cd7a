/** What `watch` says. */
export const texts = {
  lookingOr: (command: string): string =>
    `Looking for the board ... Without one, practise: lodepole ${command} --virtual orchard`,
  newDevice: (port: string): string => `A serial device that was not here before: ${port}.`,
  mayMoveMount:
    'CAUTION: If it is not the board, opening it may restart it. A motor controller in use may then stop or move the mount.',
  isItTheBoard: 'May Lodepole open it, now and later? Type y if it is the board, n if not, then press Enter.',
  staysClosed: (path: string): string => `The port stays closed. If it is the board after all, name it: --port ${path}`,
  enterGoesOn: 'Press Enter to go on to the needles.',
  noPage: (why: string, whatToDo: string): string => `No page: ${why} ${whatToDo}`,
  recordingCutOff: (file: string): string =>
    `The recording in ${file} is cut off. Free some space, or record to another disk.`,
  recorded: (lines: number, file: string): string => `${lines} lines saved in ${file}.`,
};
