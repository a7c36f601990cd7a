import { FastBoard } from '../../firmware-proto/virtual/fastBoard.ts';
import { scenes, type SceneName } from '../../firmware-proto/virtual/scene.ts';
import { createWorld } from '../../firmware-proto/virtual/world.ts';
import { BoardLink } from '../../host/link/boardLink.ts';
import { virtualCandidate } from '../../host/link/virtualPort.ts';
import { chooseModel } from '../../host/live/chooseModel.ts';
import { LinkSession } from '../../host/live/linkSession.ts';
import { fieldAt } from '../../host/site/field.ts';
import { polesOf } from '../../host/site/site.ts';
import { rehearseFast } from '../../host/steps/rehearseFast.ts';

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
  const world = createWorld(name, { seed, date: startUtc });
  const board = new HurriedBoard(speed, world);
  const site = { ...scenes[name].place, horizon: scenes[name].hidden };
  const field = fieldAt(site, startUtc ?? new Date());
  const rehearsal = isRehearsed ? rehearseFast(name, { seed, date: startUtc }) : undefined;
  const link = new BoardLink({ candidates: async () => [virtualCandidate(`virtual board, scene ${name}`, board)] });
  link.start();
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
    startUtc,
    onClose: () => board.close(),
  });
  const hurry = (times: number): void => {
    board.speed = times;
  };
  return { session, world, hurry, unplug: () => board.close() };
}
