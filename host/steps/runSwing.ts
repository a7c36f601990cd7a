import { degree } from '../../calibration/angle.ts';
import { fitReversal } from '../../calibration/swing/fitReversal.ts';
import type { SwingResult } from '../../calibration/swing/types.ts';
import type { Vector3 } from '../../calibration/vector.ts';
import { exitCode, Failure, type ExitCode } from '../failure.ts';
import { say } from '../output.ts';
import { saveSwing } from '../store/profile.ts';
import { gather } from './gather.ts';
import { readDwells } from './readDwells.ts';
import { report } from './report.ts';
import { calibrationFor, dateOf, openForStep, siteFor, type StepOptions } from './stepOptions.ts';
import { swingJson, swingWords } from './swingReport.ts';
import { swingSite } from './swingSite.ts';
import { fitFaces, SwingStep } from './swingStep.ts';

export interface SwingCommandOptions extends StepOptions {
  reversed?: string;
  fixed?: boolean;
  toward?: string;
}

/** The `swing` command. */
export async function runSwing(options: SwingCommandOptions): Promise<ExitCode> {
  const swing = options.from === undefined ? await swingLive(options) : await swingFromFile(options, options.from);
  return report('swing', swing, swingJson(swing), swingWords(swing), options.json);
}

async function swingFromFile(options: SwingCommandOptions, from: string): Promise<SwingResult> {
  const { dwells, recording } = await readDwells(from);
  const calibration = await calibrationFor(options, { recording });
  const site = await siteFor(options, recording);
  const known = {
    site: site && swingSite(site, dateOf(options)),
    toward: options.toward === undefined ? undefined : boardDirection(options.toward),
  };
  const second = options.reversed === undefined ? undefined : (await readDwells(options.reversed)).dwells;
  if (!options.fixed) return fitFaces(second ? [dwells, second] : [dwells], calibration, known);
  if (!second || dwells.length === 0 || second.length === 0) {
    throw new Failure(
      exitCode.usage,
      'Where nothing turns, a rest each way round is needed.',
      'Give --from FILE --reversed FILE, the second with the board end for end on the same seat.',
    );
  }
  return fitReversal(dwells, second, calibration, known);
}

async function swingLive(options: SwingCommandOptions): Promise<SwingResult> {
  if (options.fixed || options.reversed !== undefined) {
    throw new Failure(
      exitCode.usage,
      '--fixed and --reversed go with --from.',
      'Record first: lodepole watch --record FILE',
    );
  }
  const session = await openForStep(options);
  try {
    const calibration = await calibrationFor(options, { session });
    const site = session.site!;
    const step = new SwingStep(calibration, { site: swingSite(site, dateOf(options)) });
    if (!session.isVirtual) say('Enter finishes; r and Enter: the board was turned end for end and swings again.');
    await gather(
      session,
      {
        offer: (sample) => step.offer(sample),
        words: () => {
          const { dwells, arcDeg, instruction } = step.progress();
          return `${dwells} so far${arcDeg > 0 ? ` over ${arcDeg.toFixed(0)} degrees` : ''}. ${instruction}`;
        },
        onLine: (line) => {
          if (line !== 'r') return true;
          step.turnEndForEnd();
          return false;
        },
        isEnough: () => step.progress().isEnough,
        hands: async ({ hands }) => {
          hands?.swing({ arcRad: 300 * degree, dwells: 10 });
          await hands?.whenDone();
        },
      },
      session.isVirtual,
    );
    const result = step.finish();
    const hello = session.hello?.();
    if (result.accepted && hello) {
      const { mount, clip } = options;
      await saveSwing(hello, site, result, { mount, clip });
      say('The swing is kept; the needles use it from now on.');
    }
    return result;
  } finally {
    await session.close();
  }
}

/** `+x`, `-y`, `z` ... as a unit vector of the board. */
function boardDirection(text: string): Vector3 {
  const parts = /^([+-]?)([xyz])$/i.exec(text.trim());
  if (!parts) throw new Failure(exitCode.usage, `"${text}" is no direction of the board.`, 'Give --toward +x, -y ...');
  const size = parts[1] === '-' ? -1 : 1;
  const index = 'xyz'.indexOf(parts[2].toLowerCase());
  return [0, 1, 2].map((i) => (i === index ? size : 0)) as unknown as Vector3;
}
