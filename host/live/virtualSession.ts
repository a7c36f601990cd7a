import type { Target } from '../../calibration/live/estimator.ts';
import { FastBoard } from '../../firmware-proto/virtual/fastBoard.ts';
import type { SceneName } from '../../firmware-proto/virtual/scene.ts';
import { createWorld } from '../../firmware-proto/virtual/world.ts';
import { BoardLink } from '../link/boardLink.ts';
import { virtualCandidate } from '../link/virtualPort.ts';
import type { SiteField } from '../site/field.ts';
import type { Site } from '../site/site.ts';
import { chooseModel } from './chooseModel.ts';
import { LinkSession } from './linkSession.ts';

export interface VirtualOptions {
  name: SceneName;
  seed?: number;
  isFast?: boolean;
  site: Site;
  field: SiteField;
  target: Target;
  notes: readonly string[];
  calibration?: string;
}

/** A session with the virtual board of a scene, calibrated by a rehearsal: the same tumble and swing that a user makes. */
export async function openVirtual(options: VirtualOptions): Promise<LinkSession> {
  const { name, seed = 1, site, field, target } = options;
  const world = createWorld(name, { seed });
  const board = new FastBoard(world);
  const link = new BoardLink({
    candidates: async () => [virtualCandidate(`virtual board, scene ${name}`, board)],
  });
  link.start();
  return new LinkSession({
    link,
    site,
    target,
    notes: options.notes,
    source: () => `virtual board, scene ${name} (invented)`,
    modelFor: (hello) => chooseModel(hello, site, field, options.calibration),
    world,
    onClose: () => board.close(),
  });
}
