import { entryWords, answerWords, conclusionOf, type NightAccount } from './nightReport.ts';
import { rungsOf } from './rungs.ts';
import { sheetPlots } from './sheetPlots.ts';

const escaped = (text: string): string => text.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('>', '&gt;');
const paragraphs = (lines: readonly string[]): string => lines.map((line) => `<p>${escaped(line)}</p>`).join('\n');

const style = `
:root { color-scheme: light; }
body { font: 11pt/1.4 Georgia, 'Times New Roman', serif; max-width: 180mm; margin: 2rem auto; padding: 0 1rem; background: #fff; color: #111; }
h1 { font-size: 1.5em; margin: 0 0 0.3em; }
h2 { font-size: 1.1em; margin: 1.2em 0 0.3em; break-after: avoid; }
p { margin: 0.3em 0; }
table { border-collapse: collapse; width: 100%; }
caption { text-align: left; padding-bottom: 0.3rem; }
th, td { border-bottom: 1px solid #999; padding: 0.25rem 0.5rem 0.25rem 0; text-align: left; vertical-align: top; }
th { white-space: nowrap; font-weight: normal; font-variant-numeric: tabular-nums; }
tr, figure { break-inside: avoid; }
figure { margin: 0.8em 0 0; }
figcaption { font-size: 0.9em; }
svg { display: block; width: 100%; height: auto; }
.conclusion { border: 1px solid #111; padding: 0.6em 0.8em; font-size: 1.15em; break-inside: avoid; }
@page { margin: 15mm; }
@media print {
  body { margin: 0; padding: 0; max-width: none; }
  svg { print-color-adjust: exact; -webkit-print-color-adjust: exact; }
}`;

/** The night on paper, A4 or letter: log, drawings, answer, and the last line in plain words. Needs nothing from elsewhere. */
export function nightHtml(account: NightAccount): string {
  const { place, plan, entries, answer, latitudeRad } = account;
  const rows = entries.map(
    (entry) => `<tr><th scope="row">${entry.timeUtc.slice(11, 19)}</th><td>${escaped(entryWords(entry))}</td></tr>`,
  );
  const day = entries.at(0)?.timeUtc.slice(0, 10) ?? '';
  const plots = latitudeRad === undefined ? '' : sheetPlots(rungsOf(entries, latitudeRad), latitudeRad);
  return `<!doctype html>
<html lang="en">
<meta charset="utf-8">
<meta name="viewport" content="width=device-width">
<title>Night of ${day}</title>
<style>${style}
</style>
<main>
<h1>Polar axis, night of ${day}</h1>
${paragraphs([place, plan && `Plan: ${plan}.`].filter((line) => line !== undefined))}
<h2>What was measured, set, locked and checked</h2>
<table>
<caption>Times in UTC; "give or take" holds 19 times in 20.</caption>
${rows.join('\n')}
</table>
${plots === '' ? '' : `<h2>Drawings</h2>\n${plots}`}
<h2>Where the axis stands</h2>
${answer ? paragraphs(answerWords(answer)) : '<p>Nothing was measured.</p>'}
<p>The magnetic azimuth is not for navigation.</p>
<p class="conclusion">${escaped(conclusionOf(account))}</p>
</main>
</html>
`;
}
