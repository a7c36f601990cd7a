// npm run bench [-- NAME ...]: long statistics and timings; every table has its reference beside it, from the same run.
import { readdir } from 'node:fs/promises';

const wanted = process.argv.slice(2);
const folder = new URL('bench/', import.meta.url);
for (const file of (await readdir(folder)).filter((name) => name.endsWith('.bench.ts')).sort()) {
  const name = file.replace('.bench.ts', '');
  if (wanted.length > 0 && !wanted.includes(name)) continue;
  console.log(`\n## ${name}\n`);
  const { run } = (await import(new URL(file, folder).href)) as { run: () => Promise<void> };
  const started = performance.now();
  await run();
  console.log(`\n(${name}: ${((performance.now() - started) / 1000).toFixed(0)} s)`);
}
