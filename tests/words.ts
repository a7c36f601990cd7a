// npm run words [-- ROOM ...] [-- --draw 300 --seed 7]: every sentence that a person can see, by room and file, to be read in one go.
import { parseArgs } from 'node:util';
import { drawn } from './words/draw.ts';
import { allSentences, type Sentence } from './words/sentences.ts';

const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: { draw: { type: 'string' }, seed: { type: 'string', default: '1' } },
});
const all = allSentences().filter(
  ({ file }) => positionals.length === 0 || positionals.some((room) => file.startsWith(room)),
);

if (values.draw === undefined) printByFile(all);
else
  for (const { file, line, text } of drawn(all, Number(values.draw), Number(values.seed)))
    console.log(`${file}:${line}\n  ${text.replaceAll('\n', '\n  ')}`);

function printByFile(sentences: readonly Sentence[]): void {
  let room = '';
  let file = '';
  for (const sentence of sentences) {
    if (sentence.room !== room) console.log(`\n# ${(room = sentence.room)}`);
    if (sentence.file !== file) console.log(`\n## ${(file = sentence.file)}`);
    console.log(`${String(sentence.line).padStart(4)}  ${sentence.text.replaceAll('\n', '\n      ')}`);
  }
  console.log(`\n${sentences.length} sentences`);
}
