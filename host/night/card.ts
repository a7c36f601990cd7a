import { cautions } from '../words/cautions.ts';
import { commandOf, type NextStep } from './stepsOfNight.ts';

export const cardCautions = [cautions.sun, cautions.clutch, cautions.fingers];

/** One instruction a step, for whoever kneels in the dark; the program tells the rest. */
const instructions: readonly [NextStep['step'], string][] = [
  ['site', 'Enter the site, once for each place.'],
  ['tumble', 'Turn the board in the hand through every attitude, away from iron.'],
  ['level', 'Lay the board on the base, turn it by half a turn, level the base.'],
  ['swing', 'Clip the board on. Turn the right-ascension axis from rest to rest.'],
  ['needles', 'Turn both bolts until the needles cannot show a smaller error.'],
  ['load', 'Rest, put everything on, weights first; rest again.'],
  ['balance', 'Balance right ascension, then declination. Mark both places.'],
  ['sight', 'Centre six stars, one after another, as the program names them. Press Enter at each.'],
  ['enough', 'Name your plan: it decides when to stop.'],
  ['nudge', 'Turn the bolts by a star in the eyepiece.'],
  ['lock', 'Press t, lock the bolts, and see how far that moved the axis. Correct it if told to.'],
  ['drift', 'Watch the drift of two stars, five minutes each.'],
  ['observe', 'See on which side of the mount each target belongs. Observe.'],
  ['sheet', 'Print the night sheet.'],
];

export const cardSteps = instructions.map(([step, what]) => ({ step, what, command: commandOf(step) }));

const escaped = (text: string): string => text.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('>', '&gt;');

/** One sheet, A4 or letter, in type that is read by a dim red light at arm's length. */
export const cardHtml = (): string => `<!doctype html>
<html lang="en">
<meta charset="utf-8">
<meta name="viewport" content="width=device-width">
<title>An evening, step by step</title>
<style>
:root { color-scheme: light; }
body { font: bold 13.5pt/1.18 Arial, Helvetica, sans-serif; margin: 1rem auto; max-width: 190mm; padding: 0 1rem; background: #fff; color: #000; }
h1 { font-size: 1.35em; margin: 0 0 0.3em; }
p { margin: 0.15em 0; }
.caution { border-left: 6px solid #000; padding-left: 0.5em; font-size: 0.8em; }
ol { margin: 0.5em 0; padding-left: 2.4em; }
li { margin: 0 0 0.22em; break-inside: avoid; }
code { display: block; font: normal 0.85em 'DejaVu Sans Mono', Menlo, Consolas, monospace; }
.always { border: 2px solid #000; padding: 0.3em 0.6em; }
@page { margin: 12mm; }
@media print { body { margin: 0; padding: 0; max-width: none; } }
</style>
<main>
<h1>An evening, step by step</h1>
${cardCautions.map((caution) => `<p class="caution">${escaped(caution)}</p>`).join('\n')}
<ol>
${cardSteps.map(({ what, command }) => `<li>${escaped(what)}<code>${escaped(command)}</code></li>`).join('\n')}
</ol>
<p class="always">Not sure what comes next?<code>lodepole next</code></p>
</main>
</html>
`;
