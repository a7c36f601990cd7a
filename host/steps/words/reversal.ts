/** What a board in its clip and end for end is told. */
export const texts = {
  handsOff: (rest: string): string => `Hands off: let the mount rest for ${rest}.`,
  finish: 'Enough. Finish here.',
  turnRound: 'Now take the board off and clip it on end for end, on the same seat.',
  seat: 'Turning the board end for end cancels its own tilt and the error of its accelerometer. The angle from the seat to the polar axis remains: up to 2°, 19 times in 20.',
};
