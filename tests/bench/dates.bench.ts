import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

const suites = ['tests/unit', 'tests/published', 'tests/pages/page-sheet.test.ts'];
const shifts = [
  { days: 2, zone: 'Pacific/Auckland' },
  { days: 400, zone: 'America/St_Johns' },
];

/** The tests that must be green on any date, with the computer's calendar put forward (libfaketime) in two other time zones. */
export function run(): Promise<void> {
  if (spawnSync('faketime', ['--version']).status !== 0)
    throw new Error('faketime is missing: install the Debian package faketime');
  const folder = mkdtempSync(join(tmpdir(), 'lodepole-dates-'));
  console.log(`${suites.join(', ')} under faketime; right column: the aim\n`);
  try {
    for (const { days, zone } of shifts) {
      const report = join(folder, `${days}.json`);
      spawnSync(
        'faketime',
        ['-f', `+${days}d`, 'node_modules/.bin/vitest', 'run', '--config', 'tests/vitest.config.ts', '--reporter=json']
          .concat(`--outputFile=${report}`)
          .concat(suites),
        { env: { ...process.env, TZ: zone }, stdio: ['ignore', 'ignore', 'inherit'] },
      );
      const told = JSON.parse(readFileSync(report, 'utf8')) as Report;
      const failed = told.testResults.flatMap(({ assertionResults }) =>
        assertionResults.filter(({ status }) => status === 'failed').map(({ fullName }) => fullName),
      );
      const row = [`+${days} days`, zone, `${told.numPassedTests} passed`, `${told.numPendingTests} skipped`];
      console.log(`${row.map((cell) => cell.padEnd(18)).join('')}${failed.length} failed   0`);
      for (const name of failed) console.log(`  FAILED: ${name}`);
      if (!told.success) process.exitCode = 1;
    }
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
  return Promise.resolve();
}

interface Report {
  success: boolean;
  numPassedTests: number;
  numPendingTests: number;
  testResults: { assertionResults: { status: string; fullName: string }[] }[];
}
