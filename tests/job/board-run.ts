import type { VirtualBoard } from '../../firmware-proto/virtual/board.ts';
import { ImageBoard, type ImageBoardOptions } from '../../firmware-proto/virtual/imageBoard.ts';
import type { World } from '../../firmware-proto/virtual/world.ts';
import { decodeLine, type Decoded } from '../../firmware-proto/wire.ts';

/** A world that stands still. */
export const stillWorld: World = {
  countsAt: () => ({ accel: [101, -202, 1003], field: [-11, 222, -3333], temperature: -1280 }),
  truth: () => ({ altitudeErrorRad: 0, azimuthErrorRad: 0, distanceRad: 0 }),
  turnBolt: () => undefined,
};

/** The image in such a world, stepped as fast as it goes, with everything it said. */
export const runImage = (options: ImageBoardOptions = {}, world: World = stillWorld) =>
  runBoard(new ImageBoard(world, options));

interface SteppedBoard extends VirtualBoard {
  readonly nowS: number;
  stepTo(worldS: number): void;
}

/** Any emulated board, stepped as fast as it goes, with everything it said. */
export function runBoard<Board extends SteppedBoard>(board: Board) {
  const lines: { line: Decoded; atS: number }[] = [];
  let rest = '';
  board.onBytes((bytes) => {
    const parts = (rest + Buffer.from(bytes).toString('latin1')).split('\n');
    rest = parts.pop() ?? '';
    for (const part of parts) lines.push({ line: decodeLine(part), atS: board.nowS });
  });
  return {
    board,
    lines,
    ask: (request: string) => board.write(Buffer.from(`${request}\n`)),
    /** Runs on for so long; returns what was said meanwhile. */
    run(seconds: number): Decoded[] {
      const before = lines.length;
      const startS = board.nowS;
      for (let step = 1; step <= seconds * 200; step += 1) board.stepTo(startS + step / 200);
      return lines.slice(before).map(({ line }) => line);
    },
  };
}

type Of<Kind extends Decoded['kind']> = Extract<Decoded, { kind: Kind }>;

export function only<Kind extends Decoded['kind']>(lines: readonly Decoded[], kind: Kind): Of<Kind>[] {
  return lines.filter((line): line is Of<Kind> => line.kind === kind);
}
