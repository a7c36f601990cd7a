#!/usr/bin/env node
// The installed program is built; in a checkout it runs from its sources.
import { existsSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

if (existsSync(new URL('../tests/run.mjs', import.meta.url))) {
  const { fetchDependencies } = await import('./install.mjs');
  fetchDependencies(fileURLToPath(new URL('..', import.meta.url)));
  const { register } = await import('tsx/esm/api');
  register();
  await import('./main.ts');
} else await import('../built/main.mjs');
