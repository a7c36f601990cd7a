// `npm run mutants -- FOLDER ...`: wrong lines on purpose in the files of these folders, and which of them no test notices.
import { spawnSync } from 'node:child_process';
import { statSync } from 'node:fs';

const places = process.argv.slice(2);
if (places.length === 0) {
  console.error('Which folder or file? Example: npm run mutants -- calibration/nudge');
  process.exit(64);
}
const missing = places.find((place) => !statSync(place.replace(/:[\d-]+$/, ''), { throwIfNoEntry: false }));
if (missing !== undefined) {
  console.error(`${missing} is not there.`);
  process.exit(64);
}
const isFolder = (place) => statSync(place, { throwIfNoEntry: false })?.isDirectory();
const patterns = places.map((place) => (isFolder(place) ? `${place.replace(/\/$/, '')}/**/*.ts` : place));
const { status } = spawnSync(
  'node_modules/.bin/stryker',
  ['run', 'tests/mutants/stryker.config.mjs', '--mutate', patterns.join(',')],
  { stdio: 'inherit' },
);
process.exit(status ?? 1);
