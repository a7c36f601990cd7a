import { FastBoard } from '../../firmware-proto/virtual/fastBoard.ts';
import { scenes, type SceneName } from '../../firmware-proto/virtual/scenes.ts';
import type { Scene } from '../../firmware-proto/virtual/scene.ts';
import { createWorld, type WorldOptions } from '../../firmware-proto/virtual/world.ts';
import { BoardLink } from '../../host/link/boardLink.ts';
import { virtualCandidate } from '../../host/link/virtualPort.ts';
import { chooseModel } from '../../host/live/chooseModel.ts';
import { LinkSession } from '../../host/live/linkSession.ts';
import { placeBoard } from '../../host/live/openSession.ts';
import { fieldAt } from '../../host/site/field.ts';
import { polesOf, type Site } from '../../host/site/site.ts';
import { rehearseFast } from '../../host/live/rehearseFast.ts';

/** A page draws at each. */
const tickMs = 10;

/** A virtual board whose world runs several times faster than the clock on the wall; all else is as in a real session. */
class HurriedBoard extends FastBoard {
  speed: number;
  private hurry: NodeJS.Timeout | undefined;

  constructor(speed: number, ...rest: ConstructorParameters<typeof FastBoard>) {
    super(...rest);
    this.speed = speed;
  }

  override start(): void {
    this.hurry ??= setInterval(() => this.stepTo(this.world.timeS + (this.speed * tickMs) / 1000), tickMs);
  }

  override close(): Promise<void> {
    clearInterval(this.hurry);
    return super.close();
  }
}

const boardOn = (name: SceneName | Scene, speed: number, options: WorldOptions) => {
  const world = createWorld(name, options);
  const board = new HurriedBoard(speed, world);
  const link = new BoardLink({ candidates: async () => [virtualCandidate('virtual board', board)] });
  link.start();
  const hurry = (times: number): void => {
    board.speed = times;
  };
  return { world, board, link, hurry };
};

export interface HurriedOptions {
  /** Virtual hands have tumbled and swung this same board before. */
  isRehearsed?: boolean;
  /** What the clock of the virtual sky shows at first. */
  startUtc?: Date;
}

/** A board on the mount of a scene; nobody has calibrated it unless it is rehearsed. */
export function openHurried(
  name: SceneName,
  seed: number,
  speed: number,
  { isRehearsed = false, startUtc }: HurriedOptions = {},
) {
  const { world, board, link, hurry } = boardOn(name, speed, { seed, date: startUtc });
  const site = { ...scenes[name].place, horizon: scenes[name].hidden };
  const field = fieldAt(site, startUtc ?? new Date());
  const rehearsal = isRehearsed ? rehearseFast(name, { seed, date: startUtc }) : undefined;
  const session = new LinkSession({
    link,
    site,
    target: {
      pole: polesOf(site).truePole,
      variationRad: field.variationRad,
      sigmaVariationRad: field.sigmaVariationRad,
    },
    notes: [scenes[name].words],
    source: () => `virtual board, scene ${name} (invented)`,
    modelFor: async (hello) =>
      rehearsal ? { model: rehearsal.swing.axisModel, notes: [] } : chooseModel(hello, site, field),
    world,
    calibration: rehearsal?.calibration,
    startUtc,
    onClose: () => board.close(),
  });
  return { session, world, hurry, unplug: () => board.close() };
}

/** The same board, but the session knows of it no more than of one at a cable: no hands, no truth, a site that was told. */
export async function openAtCable(scene: SceneName | Scene, speed: number, site: Site, options: WorldOptions) {
  const { world, board, link } = boardOn(scene, speed, options);
  const placeAt = (where: Site) => placeBoard(where, {});
  const session = new LinkSession({
    ...(await placeAt(site)),
    placeAt,
    link,
    source: () => 'board of a test',
    onClose: () => board.close(),
  });
  return { session, world };
}
