import { writeFile } from 'node:fs/promises';
import { writeFault } from '../fileFault.ts';
import { exitCode, type ExitCode } from '../failure.ts';
import { printJson, printResult, say } from '../output.ts';
import { positionText } from '../site/coordinates.ts';
import { parseInstant } from '../site/instant.ts';
import { answerFrom } from '../night/nightEstimates.ts';
import { laterNights, loadNight } from '../night/nightFile.ts';
import { loadPlan } from '../store/plan.ts';
import { loadSite } from '../store/site.ts';
import { wrapped } from '../words/wrapForTerminal.ts';
import { truthWords } from '../words/truth.ts';
import { noteStep } from '../night/noteStep.ts';
import { nightJson, nightText, type NightAccount } from '../night/nightReport.ts';
import { nightHtml } from '../night/nightSheet.ts';
import { strictPlan, walkEvening } from '../practice/evening.ts';
import { practiceNight } from '../practice/practiceNight.ts';
import { truthJson } from '../steps/sightReport.ts';
import { texts } from './words/night.ts';

export interface NightOptions {
  virtual?: string;
  seed: string;
  at: string;
  html?: string;
  json?: boolean;
}

/** The `night` command. */
export async function runNight(options: NightOptions): Promise<ExitCode> {
  const { account, truth, known } = options.virtual === undefined ? { account: await kept() } : rehearsed(options);
  if (options.html !== undefined) {
    await write(options.html, nightHtml(account));
    say(texts.written(options.html));
    if (options.virtual === undefined) await noteStep('sheet', texts.sheetWritten);
  }
  if (options.json) printJson({ ...nightJson(account), ...truth });
  else
    for (const line of [...nightText(account), ...(known === undefined ? [] : [known])])
      printResult(wrapped(line, process.stdout, /^[\d:]{8} {2}/.exec(line)?.[0].length));
  if (options.virtual === undefined && !options.json && account.entries.length === 0) say(texts.howANightGoes);
  return exitCode.done;
}

async function kept(): Promise<NightAccount> {
  const { entries, cautions } = await loadNight();
  for (const caution of cautions) say(caution);
  const later = await laterNights();
  if (later.length > 0) {
    say(texts.nightsAhead(later.join(', ')));
  }
  const site = await loadSite();
  const plan = await loadPlan();
  if (!site) return { entries };
  return {
    place: `${site.name ? `${site.name}, ` : ''}${positionText(site)}`,
    ...(plan && { plan: plan.words }),
    entries,
    latitudeRad: site.latitudeRad,
    answer: answerFrom(entries, site.latitudeRad, Date.now()),
  };
}

/** A whole evening by virtual hands that see needles, clock and eyepiece, and follow the program's own advice. */
function rehearsed({ virtual: scene = '', seed, at }: NightOptions) {
  const { night, ...drawn } = practiceNight(scene, seed, say, at === 'now' ? undefined : parseInstant(at));
  say(texts.simulated);
  walkEvening(night, strictPlan, ({ reason }) => say(reason));
  const real = night.world.truth();
  const account: NightAccount = {
    place: texts.scene(scene),
    entries: night.log,
    latitudeRad: night.site.latitudeRad,
    answer: night.answer(),
  };
  const truth = { ...drawn, truth: truthJson(real) };
  return { account, truth, known: truthWords(real) };
}

async function write(path: string, text: string): Promise<void> {
  try {
    await writeFile(path, text);
  } catch (error) {
    throw writeFault(path, error);
  }
}
