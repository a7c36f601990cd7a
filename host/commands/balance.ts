import type { Command } from 'commander';
import { cautions } from '../words/cautions.ts';
import type { BalanceOptions } from './runBalance.ts';

export function register(program: Command): void {
  program
    .command('balance')
    .description('Where to set dovetail and counterweights so that the mount balances, from masses and places.')
    .option('--rig <file>', 'the rig as JSON, or the name of a saved one')
    .option('--keep', 'save the rig under its name')
    .option('--list', 'only list the saved rigs')
    .option('--weigh <part>', 'find the mass of this part from two settings at which the mount balances')
    .option('--weights-without <mm>', "with --weigh: the counterweights' distance from the axis without the part")
    .option('--weights-with <mm>', 'with --weigh: the same with the part on')
    .option('--dovetail-without <mm>', "with --weigh: instead, the dovetail's shift without the part, sky end positive")
    .option('--dovetail-with <mm>', 'with --weigh: the same with the part on')
    .option('--json', 'one JSON object on stdout')
    .addHelpText(
      'after',
      `
Examples:
  lodepole balance --rig rig.json --keep
  lodepole balance --rig barn --weigh camera --weights-without 182 --weights-with 215
A rig, to be saved as rig.json (an invented one; kilograms and millimetres; add sigmaKg to a mass that is uncertain):
  {"schema": 1, "name": "barn", "travelMm": [-60, 90],
   "parts": [{"name": "tube", "massKg": 5.2, "alongMm": 40, "outMm": 180},
             {"name": "camera", "massKg": 0.9, "alongMm": -330, "outMm": 180},
             {"name": "finder", "massKg": 0.4, "alongMm": -150, "outMm": 260, "sideMm": 40}],
   "counterweights": [{"massKg": 5, "fromMm": 90, "toMm": 340}],
   "shaft": {"massKg": 1.1, "centreMm": 170}}
alongMm: along the tube from the declination axis, sky end positive. outMm: from the right-ascension axis.
travelMm: how far the dovetail slides from where it is. fromMm, toMm: where the middle of a weight can stand.
centreMm: the middle of the shaft from the right-ascension axis.
${cautions.clutch}`,
    )
    .action(async (options: BalanceOptions) => {
      const { runBalance } = await import('./runBalance.ts');
      process.exitCode = await runBalance(options);
    });
}
