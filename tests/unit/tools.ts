import { spawnSync } from 'node:child_process';

/** Whether a program is here; says loudly what is not tested without it. */
export function have(program: string, otherwise: string): boolean {
  const found = spawnSync('sh', ['-c', `command -v ${program}`]).status === 0;
  if (!found) console.warn(`SKIPPED, ${program} is missing: ${otherwise}`);
  return found;
}
