import { spawnSync } from 'node:child_process';
import { mkdir } from 'node:fs/promises';
import { Random } from '../../firmware-proto/virtual/random.ts';
import { bundleChild, dated, killed, lostOf, paired, type Outcome } from '../faults/kept.ts';

const kills = 500;
/** So many in one folder, where each finds what the one before left behind. */
const killsTogether = 10;
const pairs = 100;
const perPair = 5;
const clocks = ['+0d', '-3652d', '+3652d', '-3652d', '+0d', '+3652d'];
const perClock = 5;
/** A killed program leaves its lock behind, for which the next one waits two seconds: other folders go on meanwhile. */
const atOnce = 4;
/** A row for every so many. */
const perRow = 10;

/** One outcome for each number from 0 on, several at a time; a row is printed as soon as the outcomes of it are there. */
async function inRows(
  count: number,
  nameOf: (from: number, to: number) => string,
  work: (index: number) => Promise<Outcome>,
): Promise<Outcome[]> {
  const outcomes: Outcome[] = [];
  let next = 0;
  const worker = async (): Promise<void> => {
    while (next < count) {
      const index = next++;
      outcomes.push(await work(index));
      const done = outcomes.length;
      if (done % perRow === 0) row(nameOf(done - perRow, done), outcomes.slice(done - perRow));
    }
  };
  await Promise.all(Array.from({ length: atOnce }, worker));
  return outcomes;
}

function row(name: string, outcomes: readonly Outcome[]): void {
  const sum = (count: (outcome: Outcome) => number): number => outcomes.reduce((total, each) => total + count(each), 0);
  const fields = [
    name,
    sum(({ acknowledged }) => acknowledged.length),
    sum((each) => lostOf(each).length),
    sum(({ unreadable }) => unreadable.length),
    sum(({ torn }) => torn),
    sum(({ names }) => names.filter((file) => !/\.jsonl?(\.old)?$/.test(file)).length),
  ];
  console.log(`| ${fields.join(' | ')} |`);
}

export async function run(): Promise<void> {
  await mkdir(new URL('../output', import.meta.url), { recursive: true });
  const { child, remove } = await bundleChild();
  console.log(
    'Programs that keep entries of a night, bolts and a site, in one folder. Nothing may be lost or unreadable;',
  );
  console.log('a killed program may tear the line that it was writing, which it had not acknowledged.\n');
  console.log(
    '| | acknowledged | of it lost | files unreadable | lines torn | files left over |\n| --- | --- | --- | --- | --- | --- |',
  );
  try {
    const afterKills = await inRows(
      kills / killsTogether,
      (from, to) => `kills ${from * killsTogether + 1} to ${to * killsTogether}`,
      (index) => {
        const random = new Random(20261129 + index);
        return killed(child, killsTogether, () => random.uniform());
      },
    );
    row(`**${kills} programs killed**`, afterKills);
    const afterPairs = await inRows(
      pairs,
      (from, to) => `pairs ${from + 1} to ${to}`,
      () => paired(child, perPair),
    );
    row(`**${pairs} pairs at once**`, afterPairs);
    const isWhole = ({ bolts }: Outcome): boolean => bolts.altitude === perPair && bolts.azimuth === perPair;
    const spoilt = afterPairs.filter((outcome) => !isWhole(outcome)).length;
    if (spawnSync('faketime', ['--version']).status === 0) {
      row('**clocks ten years ahead and behind**', [await dated(child, clocks, perClock)]);
    } else console.log('(clocks: SKIPPED, it needs the Debian package faketime)');
    console.log(`\nPairs in which one program lost the bolt that the other had saved: ${spoilt} of ${pairs}.`);
  } finally {
    await remove();
  }
}
