import { z } from 'zod';
import type { Hello } from '../../firmware-proto/wire.ts';
import { storePath } from '../store/folder.ts';
import { readJsonFile, saveJsonFile } from '../store/jsonFile.ts';
import type { PortCandidate } from './bytePort.ts';
import { isSameDevice, meetPort, metPorts, usbKept } from './metPorts.ts';

const rememberedBoard = z.strictObject({
  schema: z.literal(1),
  boardId: z.string().regex(/^[0-9A-F]{8}$/),
  path: z.string().max(1000),
  usb: usbKept.optional(),
});
/** The board that answered last, and by which port. */
export type RememberedBoard = z.infer<typeof rememberedBoard>;

const boardPath = (): string => storePath('board.json');

/** Undefined when no board was ever met. The memory only saves time, so a file that cannot be read counts as none. */
export const recallBoard = (): Promise<RememberedBoard | undefined> =>
  readJsonFile(boardPath(), rememberedBoard).catch(() => undefined);

/** Keeps which port a board answered on, and that it may be opened unasked from now on; not written again when nothing changed. Throws Failure when it cannot be saved. */
export async function rememberBoard(candidate: PortCandidate, hello: Hello): Promise<void> {
  const board: RememberedBoard = { schema: 1, boardId: hello.boardId, path: candidate.name, usb: candidate.usb };
  const known = await recallBoard();
  if (JSON.stringify(known) !== JSON.stringify(rememberedBoard.parse(board)))
    await saveJsonFile(boardPath(), rememberedBoard, board);
  const device = { path: candidate.name, usb: candidate.usb };
  const isMet = (await metPorts()).some((met) => met.mayOpen && isSameDevice(met, device));
  if (device.usb && !isMet) await meetPort(device, true);
}
