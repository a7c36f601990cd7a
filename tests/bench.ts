// npm run bench [-- [--keep] NAME ...]: long statistics and timings; every table has its reference beside it, from the same run.
import { readdir } from 'node:fs/promises';
import { keepFigures } from './bench/keepFigures.ts';

const asked = process.argv.slice(2);
const wanted = asked.filter((word) => word !== '--keep');
const folder = new URL('bench/', import.meta.url);
const names = (await readdir(folder))
  .filter((file) => file.endsWith('.bench.ts'))
  .map((file) => file.replace('.bench.ts', ''))
  .sort();
const unknown = wanted.filter((name) => !names.includes(name));
if (unknown.length > 0) {
  console.error(`There is no bench "${unknown.join('", "')}". The benches are ${names.join(', ')}.`);
  process.exit(64);
}
for (const name of names) {
  if (wanted.length > 0 && !wanted.includes(name)) continue;
  console.log(`\n## ${name}\n`);
  const { run } = (await import(new URL(`${name}.bench.ts`, folder).href)) as { run: () => Promise<void> };
  const started = performance.now();
  const printed = await heard(run);
  console.log(`\n(${name}: ${((performance.now() - started) / 1000).toFixed(0)} s)`);
  if (asked.includes('--keep')) await keepFigures(name, printed);
}

/** What is printed while `run` runs; it goes on to the terminal, too. */
async function heard(run: () => Promise<void>): Promise<string> {
  const write = process.stdout.write.bind(process.stdout);
  let text = '';
  process.stdout.write = ((part: string | Uint8Array) => {
    text += part.toString();
    return write(part);
  }) as typeof process.stdout.write;
  try {
    await run();
  } finally {
    process.stdout.write = write;
  }
  return text;
}
