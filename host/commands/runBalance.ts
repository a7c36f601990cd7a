import { massByCounterweight, massByDovetail, type WeighedMass } from '../../calibration/balance/balance.ts';
import { exitCode, Failure, type ExitCode } from '../failure.ts';
import { nearNames, plainName } from '../nearNames.ts';
import { printJson, printResult, say } from '../output.ts';
import { noteOnce } from '../night/noteStep.ts';
import { balanceJson, balancedWords, balanceWords, judgeBalance } from '../steps/balanceReport.ts';
import { rounded } from '../words/figures.ts';
import { keepRig, keptRigs, knownRig, loadRig, type SavedRig } from '../store/rig.ts';
import { wrapped } from '../words/wrapForTerminal.ts';
import { bandSigmas } from '../words/reading.ts';
import { texts } from './words/balance.ts';

export interface BalanceOptions {
  rig?: string;
  list?: boolean;
  keep?: boolean;
  weigh?: string;
  weightsWithout?: string;
  weightsWith?: string;
  dovetailWithout?: string;
  dovetailWith?: string;
  json?: boolean;
}

type SavedPart = SavedRig['parts'][number];

function millimetres(name: string, text: string): number {
  const value = text.trim() === '' ? NaN : Number(text);
  if (Math.abs(value) <= 5000) return value;
  throw new Failure(exitCode.usage, `The ${name} "${text}" is not a length.`, 'Give millimetres, such as 182.');
}

function partNamed({ parts }: SavedRig, text: string): SavedPart {
  const found = parts.find(({ name }) => plainName(name) === plainName(text));
  if (found) return found;
  const names = parts.map(({ name }) => name);
  const near = nearNames(text, names);
  throw new Failure(
    exitCode.usage,
    `The rig has no part "${text}".`,
    `${near.length > 0 ? `Did you mean ${near.join(' or ')}? ` : ''}Its parts are ${names.join(', ')}.`,
  );
}

/** The mass of the part out of the two settings of the options. Throws Failure. */
function weighed(rig: SavedRig, part: SavedPart, options: BalanceOptions): WeighedMass {
  const { weightsWithout, weightsWith, dovetailWithout, dovetailWith } = options;
  let mass: WeighedMass | undefined;
  if (weightsWithout !== undefined && weightsWith !== undefined) {
    const [without, on] = [weightsWithout, weightsWith].map((text) => millimetres(texts.placeOfWeights, text));
    const weightsKg = rig.counterweights.reduce((total, { massKg }) => total + massKg, 0);
    mass = massByCounterweight(weightsKg, without, on, part.outMm);
  } else if (dovetailWithout !== undefined && dovetailWith !== undefined) {
    const [without, on] = [dovetailWithout, dovetailWith].map((text) => millimetres(texts.shiftOfDovetail, text));
    const others = knownRig({ ...rig, parts: rig.parts.filter((other) => other !== part) });
    const restKg = others.parts.reduce((total, { massKg }) => total + massKg, 0);
    mass = massByDovetail(restKg, without, on, part.alongMm);
  }
  if (!mass)
    throw new Failure(
      exitCode.usage,
      'Two settings are needed at which it hangs level, without the part and with it.',
      'Give --weights-without and --weights-with, or --dovetail-without and --dovetail-with.',
    );
  if (mass.massKg > 2 * mass.sigmaKg && mass.massKg <= 200) return mass;
  throw new Failure(
    exitCode.refused,
    `These settings give ${part.name} a mass of ${mass.massKg.toFixed(2)} kg, give or take ${(2 * mass.sigmaKg).toFixed(2)} kg.`,
    'Check both settings and their order, and the place of the part in the rig.',
  );
}

function withMass(rig: SavedRig, part: SavedPart, { massKg, sigmaKg }: WeighedMass): SavedRig {
  const known = { ...part, massKg: rounded(massKg, 4), sigmaKg: rounded(sigmaKg, 4) };
  return { ...rig, parts: rig.parts.map((other) => (other === part ? known : other)) };
}

async function listRigs(asJson: boolean | undefined): Promise<ExitCode> {
  const rigs = await keptRigs();
  if (asJson) printJson({ kind: 'rigs', rigs });
  else if (rigs.length === 0) say(texts.noRig);
  else for (const name of rigs) printResult(name);
  return exitCode.done;
}

/** The `balance` command. */
export async function runBalance(options: BalanceOptions): Promise<ExitCode> {
  if (options.list) return listRigs(options.json);
  if (options.rig === undefined) {
    const kept = await keptRigs();
    throw new Failure(
      exitCode.usage,
      'There is no rig to balance.',
      kept.length > 0
        ? `Name one that is kept (${kept.join(', ')}): lodepole balance --rig ${kept[0]}`
        : 'Write one as in the example of lodepole balance --help, then: lodepole balance --rig rig.json',
    );
  }
  let saved = await loadRig(options.rig);
  let mass: WeighedMass | undefined;
  if (options.weigh !== undefined) {
    const part = partNamed(saved, options.weigh);
    mass = weighed(saved, part, options);
    saved = withMass(saved, part, mass);
  }
  const rig = knownRig(saved);
  const verdict = judgeBalance(rig);
  if (options.keep) {
    await keepRig(saved);
    say(texts.rigSaved(rig.name));
  }
  if (verdict.accepted) await noteOnce('balance', balancedWords(rig, verdict));
  if (options.json) {
    printJson({
      ...balanceJson(rig, verdict),
      ...(mass && {
        weighed: { part: options.weigh, massKg: rounded(mass.massKg, 4), sigmaMassKg: rounded(mass.sigmaKg, 4) },
      }),
    });
  } else {
    if (mass)
      printResult(
        wrapped(
          texts.weighed(options.weigh, mass.massKg.toFixed(2), (bandSigmas * mass.sigmaKg).toFixed(2)),
          process.stdout,
        ),
      );
    for (const line of balanceWords(rig, verdict)) printResult(wrapped(line, process.stdout));
  }
  return verdict.accepted ? exitCode.done : exitCode.refused;
}
