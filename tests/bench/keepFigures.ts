import { existsSync, readFileSync } from 'node:fs';
import { cpus } from 'node:os';
import { fileURLToPath } from 'node:url';
import { stripVTControlCharacters } from 'node:util';
import writeFileAtomic from 'write-file-atomic';

const file = fileURLToPath(new URL('FIGURES.md', import.meta.url));
const head =
  '# Figures\n\nWhat `npm run bench -- --keep NAME` printed last, by bench. Compare only rows of one run: machines differ.\n';

/** The kept figures with those of one bench in the place of its older ones. */
export function withFigures(kept: string, name: string, printed: string, madeBy: string): string {
  const section = `## ${name}\n\n${madeBy}\n\n\`\`\`\n${stripVTControlCharacters(printed).trim()}\n\`\`\`\n`;
  const [, ...others] = kept.split(/^(?=## )/m);
  const all = [
    ...others.filter((other) => !other.startsWith(`## ${name}\n`)).map((other) => other.trim() + '\n'),
    section,
  ];
  return [head, ...all.sort()].join('\n');
}

/** Keeps what a bench printed, with date and machine. */
export async function keepFigures(name: string, printed: string): Promise<void> {
  const kept = existsSync(file) ? readFileSync(file, 'utf8') : '';
  const processors = cpus();
  const madeBy = `${new Date().toISOString().slice(0, 10)}, Node ${process.version}, ${processors.length} processors (${processors[0]?.model ?? 'unknown'}).`;
  await writeFileAtomic(file, withFigures(kept, name, printed, madeBy));
}
