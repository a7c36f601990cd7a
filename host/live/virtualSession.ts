import type { Target } from '../../calibration/live/estimator.ts';
import { eepromOf } from '../../firmware-proto/virtual/boardNumber.ts';
import { FastBoard } from '../../firmware-proto/virtual/fastBoard.ts';
import { ImageBoard } from '../../firmware-proto/virtual/imageBoard.ts';
import { scenes, type SceneName } from '../../firmware-proto/virtual/scenes.ts';
import type { Scene } from '../../firmware-proto/virtual/scene.ts';
import { createWorld } from '../../firmware-proto/virtual/world.ts';
import type { Hello } from '../../firmware-proto/wire.ts';
import { Failure } from '../failure.ts';
import { BoardLink } from '../link/boardLink.ts';
import { virtualCandidate } from '../link/virtualPort.ts';
import type { SiteField } from '../site/field.ts';
import type { Site } from '../site/site.ts';
import { findAxisModel } from '../store/profile.ts';
import { rehearseFast, type Rehearsal } from './rehearseFast.ts';
import { chooseModel, type ChosenModel } from './chooseModel.ts';
import { virtualNightFrom } from './virtualNight.ts';
import { LinkSession } from './linkSession.ts';
import { texts } from './words.ts';

interface VirtualOptions {
  name: SceneName;
  /** Everything that the scene leaves open is drawn from it. */
  seed?: number;
  /** Without the emulated processor. */
  isFast?: boolean;
  /** The scene is moved to this place. */
  site: Site;
  field: SiteField;
  target: Target;
  notes: readonly string[];
  /** A calibration file in the place of the rehearsal. */
  calibration?: string;
}

/** A session with the virtual board of a scene, calibrated by a rehearsal: the same tumble and swing that a user makes. */
export async function openVirtual(options: VirtualOptions): Promise<LinkSession> {
  const { name, seed = 1, isFast = false, site, target } = options;
  const scene: Scene = { ...scenes[name], place: site };
  const date = new Date();
  const rehearsed = options.calibration === undefined ? rehearse(scene, seed, date) : undefined;
  const world = createWorld(scene, { seed, date });
  const modelFor = async (hello: Omit<Hello, 'kind'>): Promise<ChosenModel> => {
    const swung = rehearsed && (await swungTonight(hello, site));
    if (swung) return swung;
    if (rehearsed?.model) return { model: rehearsed.model, notes: rehearsed.notes };
    const chosen = await chooseModel(hello, site, options.field, { calibration: options.calibration });
    return { model: chosen.model, notes: [...(rehearsed?.notes ?? []), ...chosen.notes] };
  };
  // a file that was named and does not do is refused before anything is shown
  if (!rehearsed) await modelFor(new FastBoard(world).hello);
  const board = isFast ? new FastBoard(world) : new ImageBoard(world, { seed, eeprom: eepromOf(world) });
  const link = new BoardLink({ candidates: async () => [virtualCandidate(`virtual board, scene ${name}`, board)] });
  link.start();
  return new LinkSession({
    link,
    site,
    target,
    notes: options.notes,
    source: () => `virtual board, scene ${name} (invented)`,
    modelFor,
    world,
    startUtc: virtualNightFrom(site, date),
    calibration: rehearsed?.calibration,
    onClose: () => board.close(),
  });
}

/** The swing that was practised with this very board, and not long ago: scenes may change from one version to the next. */
async function swungTonight(hello: Omit<Hello, 'kind'>, site: Site): Promise<ChosenModel | undefined> {
  const swung = await findAxisModel(hello, site);
  if (!('model' in swung) || swung.cautions.length > 0) return undefined;
  const when = swung.savedUtc.slice(0, 16).replace('T', ' ');
  return { model: swung.model, notes: [texts.axisPractised(when)] };
}

/** The model that the rehearsal found, or why there is none; the world's truth has no part in it. */
function rehearse(
  scene: Scene,
  seed: number,
  date: Date,
): Partial<ChosenModel & Rehearsal> & Pick<ChosenModel, 'notes'> {
  try {
    const { calibration, swing } = rehearseFast(scene, { seed, date });
    const refused = swing.gates.filter(({ verdict }) => verdict === 'stop').map(({ reason }) => reason);
    return {
      calibration,
      model: swing.axisModel,
      notes: [texts.rehearsed, ...refused.map((reason) => texts.swingRefused(reason))],
    };
  } catch (error) {
    if (!(error instanceof Failure)) throw error;
    return { notes: [error.message] };
  }
}
