import { degree } from '../../calibration/angle.ts';
import type { SwingResult } from '../../calibration/swing/types.ts';
import { vector3, type Vector3 } from '../../calibration/vector.ts';
import type { Hands } from '../../firmware-proto/virtual/hands.ts';
import { csvOptionsOf } from '../capture/csv/options.ts';
import { exitCode, Failure, type ExitCode } from '../failure.ts';
import type { LiveSession } from '../live/session.ts';
import { say } from '../output.ts';
import { cautions } from '../words/cautions.ts';
import { saveSwing } from '../store/profile.ts';
import { feedStep, type Feeding } from './feedStep.ts';
import { readDwells } from './readDwells.ts';
import { tellResult } from './tellResult.ts';
import { fitEndForEnd, reverseByHands, ReversalStep } from '../steps/reversalStep.ts';
import { sayCautions } from './sayCautions.ts';
import { calibrationFor, dateOf, openForStep, siteFor, type StepOptions } from './stepOptions.ts';
import { reversalWords, swingJson, swingWords } from '../steps/swingReport.ts';
import { swingSite } from '../site/swingSite.ts';
import { fitFaces, SwingStep } from '../steps/swingStep.ts';
import { texts } from './words/swing.ts';

export interface SwingCommandOptions extends StepOptions {
  /** The file of the second swing; true: live. */
  reversed?: string | true;
  fixed?: boolean;
  toward?: string;
}

/** The `swing` command. */
export async function runSwing(options: SwingCommandOptions): Promise<ExitCode> {
  const swing = options.from === undefined ? await swingLive(options) : await swingFromFile(options, options.from);
  const words = options.fixed ? reversalWords(swing) : swingWords(swing);
  return tellResult('swing', swing, swingJson(swing), words, options.json);
}

async function swingFromFile(options: SwingCommandOptions, from: string): Promise<SwingResult> {
  const csv = csvOptionsOf(options);
  const { dwells, recording } = await readDwells(from, { csv });
  const calibration = await calibrationFor(options, { recording }, dwells[0]?.temperatureC);
  const site = await siteFor(options, recording);
  const known = {
    site: site && swingSite(site, dateOf(options)),
    toward: options.toward === undefined ? undefined : boardDirection(options.toward),
  };
  const second =
    options.reversed === undefined ? undefined : (await readDwells(reversedFile(options.reversed), { csv })).dwells;
  if (!options.fixed) return fitFaces(second ? [dwells, second] : [dwells], calibration, known);
  if (!second) {
    throw new Failure(
      exitCode.usage,
      'Where nothing turns, a rest each way round is needed.',
      'Give --from FILE --reversed FILE, the second with the board end for end on the same seat.',
    );
  }
  return fitEndForEnd(dwells, second, calibration, known);
}

function reversedFile(reversed: string | true): string {
  if (reversed !== true) return reversed;
  throw new Failure(exitCode.usage, 'The file of the second swing is not named.', 'Give --from FILE --reversed FILE.');
}

async function swingLive(options: SwingCommandOptions): Promise<SwingResult> {
  if (typeof options.reversed === 'string') {
    throw new Failure(exitCode.usage, '--reversed FILE goes with --from FILE.', 'Live, give --reversed alone.');
  }
  sayCautions(cautions.clutch, cautions.counterweight);
  const session = await openForStep('swing', options);
  try {
    return await swingOn(session, options);
  } finally {
    await session.close();
  }
}

/** Swings on an open session, by the person or the virtual hands, and keeps what is accepted. */
export async function swingOn(session: LiveSession, options: SwingCommandOptions): Promise<SwingResult> {
  const calibration = await calibrationFor(options, { session });
  const site = session.site!;
  const known = {
    site: swingSite(site, dateOf(options)),
    toward: options.toward === undefined ? undefined : boardDirection(options.toward),
  };
  const step = options.fixed ? new ReversalStep(calibration, known) : new SwingStep(calibration, known);
  if (session.virtual === undefined) say(texts.enterOrReversed);
  const hands = session.virtual?.hands;
  // what is kept holds for the board as clipped last: the way every virtual session begins
  if (options.fixed) hands?.seat();
  else if (options.reversed) hands?.reverseClip();
  await hands?.whenDone();
  await feedStep(session, feedingOf(step, options, session.virtual !== undefined), session.virtual !== undefined);
  const result = step.finish();
  const hello = session.hello();
  if (hands && options.fixed) say(texts.nothingSaved);
  else if (result.accepted && hello) {
    await saveSwing(hello, site, result, { ...options, temperatureC: session.latest()?.temperatureC });
    say(session.virtual !== undefined ? texts.savedForVirtual(hello.boardId) : texts.saved);
  }
  return result;
}

function feedingOf(step: SwingStep | ReversalStep, { reversed }: SwingCommandOptions, isLeftToHands: boolean): Feeding {
  const swingByHands = async (hands: Hands | undefined): Promise<void> => {
    hands?.swing({ arcRad: 300 * degree, dwells: 10 });
    await hands?.whenDone();
  };
  if (step instanceof ReversalStep) return reversalFeeding(step);
  return {
    ...turnedByLine(step),
    words: () => {
      const { face, dwells, leftOut, arcDeg, instruction, isEnough } = step.progress();
      const told = texts.dwells(face > 1, dwells, arcDeg, leftOut);
      if (isLeftToHands) return told;
      const next = isEnough && reversed && face === 1 ? texts.clipEndForEnd : instruction;
      return `${told} ${next}`;
    },
    hands: async ({ virtual }) => {
      await swingByHands(virtual?.hands);
      if (!reversed) return;
      virtual?.hands.clip();
      await virtual?.hands.whenDone();
      step.turnEndForEnd();
      await swingByHands(virtual?.hands);
    },
  };
}

/** Fed until it is enough; the line `r` says that the board was clipped on end for end. */
const turnedByLine = (step: SwingStep | ReversalStep): Pick<Feeding, 'offer' | 'onLine' | 'isEnough'> => ({
  offer: (sample) => step.offer(sample),
  onLine: (line) => {
    if (line !== 'r') return true;
    step.turnEndForEnd();
    return false;
  },
  isEnough: () => step.progress().isEnough,
});

const reversalFeeding = (step: ReversalStep): Feeding => ({
  ...turnedByLine(step),
  words: () => step.progress().instruction,
  hands: ({ virtual }) => reverseByHands(step, virtual?.hands),
});

/** `+x`, `-y`, `z` ... as a unit vector of the board. */
function boardDirection(text: string): Vector3 {
  const parts = /^([+-]?)([xyz])$/i.exec(text.trim());
  if (!parts)
    throw new Failure(exitCode.usage, `"${text}" is not a direction of the board.`, 'Give --toward +x, -y ...');
  const size = parts[1] === '-' ? -1 : 1;
  const index = 'xyz'.indexOf(parts[2].toLowerCase());
  return vector3([0, 1, 2].map((i) => (i === index ? size : 0)));
}
