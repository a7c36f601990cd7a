import type { VirtualBoard } from '../../firmware-proto/virtual/board.ts';
import type { PortCandidate } from './bytePort.ts';

/** A virtual board as one more kind of port. It powers up at the first opening and runs on through later ones. */
export function virtualCandidate(name: string, board: VirtualBoard): PortCandidate {
  let isOn = false;
  return {
    name,
    open: async () => {
      let unsubscribe = (): void => {};
      return {
        onBytes(listener) {
          unsubscribe = board.onBytes(listener);
          if (!isOn) board.start();
          isOn = true;
        },
        onClose() {},
        write: (text) => board.write(Buffer.from(text, 'latin1')),
        close: async () => unsubscribe(),
      };
    },
  };
}
