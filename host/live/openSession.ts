import type { Target } from '../../calibration/live/estimator.ts';
import { scenes, type SceneName } from '../../firmware-proto/virtual/scenes.ts';
import { exitCode, Failure } from '../failure.ts';
import { BoardLink } from '../link/boardLink.ts';
import { rememberBoard } from '../link/memory.ts';
import { unmetWords } from '../link/metPorts.ts';
import { candidatesFor, unmetPorts } from '../link/ports.ts';
import { sceneNamed } from '../sceneNamed.ts';
import { clockCautions } from '../site/clock.ts';
import { positionText } from '../site/coordinates.ts';
import { fieldAt, type SiteField } from '../site/field.ts';
import { polesOf, type Site } from '../site/site.ts';
import type { ClippingOptions } from '../store/clipping.ts';
import { KeptKnobs } from '../store/knobs.ts';
import { loadSite } from '../store/site.ts';
import { siteUnknownWords } from '../words/place.ts';
import { chooseModel } from './chooseModel.ts';
import { LinkSession, type Placement } from './linkSession.ts';
import type { LiveSession } from './session.ts';
import { openVirtual } from './virtualSession.ts';
import { texts } from './words.ts';

export interface SessionOptions extends ClippingOptions {
  /** Only this port; `any`: every USB port, also those that nobody was asked about. */
  port?: string;
  /** The virtual board in this scene. */
  virtual?: string;
  /** Of the virtual set-up: everything that the scene leaves open. */
  seed?: number;
  /** Without the emulated processor: the same bytes straight from the virtual world. */
  isFast?: boolean;
  /** Where the mount stands; without it the saved site, on a virtual board the scene's own place. */
  site?: Site;
  /** A board whose site is not known is opened as well; it shows no needles until it is told (`moveTo`). */
  mayLackSite?: boolean;
  /** Which pole is the target; the true one if not given. */
  pole?: 'true' | 'refracted';
  /** A calibration file in the place of the kept ones. */
  calibration?: string;
}

const usualScene: SceneName = 'orchard';
const howToTellSite = 'Give --lat and --lon, or save them once: lodepole site --lat 46.43 --lon -118.6 --save';

/**
 * Live needles from the board that the options name; without a name, from the first board that answers hello, else from the
 * virtual board, and `notes()` says so. Throws Failure where the options do not fit, a named port cannot be used or no site
 * is known for a real board.
 */
export async function openSession(options: SessionOptions = {}): Promise<LiveSession> {
  if (options.virtual !== undefined) {
    if (options.port !== undefined) {
      throw new Failure(exitCode.usage, 'A virtual board has no port.', 'Give --port or --virtual, not both.');
    }
    return openScene(options, options.virtual, []);
  }
  const link = new BoardLink({
    candidates: candidatesFor(options.port),
    onAnswer: (candidate, hello) => void rememberBoard(candidate, hello).catch(() => {}),
  });
  link.start();
  try {
    if (!(await link.firstRound)) {
      const { words } = link.status();
      if (options.port !== undefined)
        throw new Failure(
          exitCode.noBoard,
          `No board on ${options.port === 'any' ? 'any port' : options.port}.`,
          words,
        );
      await link.close();
      const unmet = unmetWords(await unmetPorts());
      return await openScene(options, usualScene, [texts.noBoard(unmet === '' ? words : unmet)]);
    }
    const site = options.site ?? (await loadSite());
    if (!site && !options.mayLackSite) {
      throw new Failure(exitCode.usage, `${link.source()} answers, but the site is not known.`, howToTellSite);
    }
    const placeAt = (where: Site): Promise<Placement> => placeBoard(where, options);
    const placement: Placement = site ? await placeAt(site) : { notes: [texts.typeSite(siteUnknownWords)] };
    const hello = link.hello();
    // a file that was named and does not do is refused before anything is shown
    if (options.calibration !== undefined && hello) await placement.modelFor?.(hello);
    const { mount, clip } = options;
    return new LinkSession({ ...placement, link, placeAt, clipping: { mount, clip }, source: () => link.source() });
  } catch (error) {
    await link.close();
    throw error;
  }
}

/** What a real board shows at a site, with what is kept for it. */
export async function placeBoard(site: Site, options: SessionOptions): Promise<Placement> {
  const { field, target, notes } = await place(site, options.pole);
  const { calibration, mount, clip } = options;
  return {
    site,
    target,
    notes,
    modelFor: (hello) => chooseModel(hello, site, field, { calibration, mount, clip }),
    knobs: await KeptKnobs.of({ mount }, site),
  };
}

async function openScene(options: SessionOptions, text: string, reasons: readonly string[]): Promise<LiveSession> {
  const name = sceneNamed(text);
  const site = options.site ?? { ...scenes[name].place, horizon: scenes[name].hidden };
  const { field, target, notes } = await place(site, options.pole);
  const said = [...reasons, scenes[name].words, ...passedOver(options), ...notes];
  return openVirtual({ ...options, name, site, field, target, notes: said });
}

/** What a virtual mount makes of options that are meant for a real one. */
const passedOver = ({ site, mount, clip }: SessionOptions): string[] => [
  ...(site ? [texts.virtualMountAt(positionText(site))] : []),
  ...(mount !== undefined || clip !== undefined ? [texts.namesIgnored] : []),
];

/** Where the needles should point at a site, and what is to be said about that. */
export async function place(
  site: Site,
  pole: SessionOptions['pole'] = 'true',
  date = new Date(),
): Promise<{ field: SiteField; target: Target; notes: readonly string[] }> {
  const field = fieldAt(site, date);
  const { truePole, refractedPole } = polesOf(site);
  return {
    field,
    target: {
      pole: pole === 'refracted' ? refractedPole : truePole,
      variationRad: field.variationRad,
      sigmaVariationRad: field.sigmaVariationRad,
    },
    notes: [...field.notes, ...(await clockCautions())],
  };
}
