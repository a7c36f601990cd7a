// The whole of `npm test`: fetches what is missing, then format, lint, types and tests; the last line counts them.
import { execFile, spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, readFileSync, rmSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { fetchDependencies } from '../host/install.mjs';

const root = fileURLToPath(new URL('..', import.meta.url));
process.chdir(root);

/** Programs that the tests drive, and the Debian packages that bring them. */
const tools = [
  { program: 'avr-g++', packages: ['gcc-avr', 'avr-libc', 'binutils-avr'] },
  { program: '/usr/share/arduino/hardware/arduino/avr/cores/arduino/Arduino.h', packages: ['arduino-core-avr'] },
  { program: 'arm-none-eabi-g++', packages: ['gcc-arm-none-eabi', 'libnewlib-arm-none-eabi'] },
  { program: 'riscv64-unknown-elf-g++', packages: ['gcc-riscv64-unknown-elf'] },
  { program: 'xtensa-lx106-elf-g++', packages: ['gcc-xtensa-lx106'] },
  { program: 'g++', packages: ['g++'] },
  { program: '/usr/include/simavr/sim_avr.h', packages: ['libsimavr-dev'] },
  { program: 'socat', packages: ['socat'] },
  { program: 'tmux', packages: ['tmux'] },
  { program: 'faketime', packages: ['faketime'] },
  { program: 'chromium-headless-shell', packages: ['chromium-headless-shell', 'fonts-dejavu-core'], or: 'chromium' },
];

const run = (command, ...rest) =>
  spawnSync(command, rest, { stdio: ['ignore', 'inherit', 'inherit'], env: process.env }).status;
const present = (program) =>
  program.startsWith('/') ? existsSync(program) : spawnSync('sh', ['-c', `command -v ${program}`]).status === 0;

/** Where a package is not to be had, the one that can stand in for it. */
const available = (name, or) => (or && spawnSync('apt-cache', ['show', name]).status !== 0 ? or : name);

function installTools() {
  const absent = tools.filter(({ program }) => !present(program));
  if (absent.length === 0) return;
  const isRoot = process.getuid?.() === 0;
  if (!isRoot || !present('apt-get')) {
    const names = absent.flatMap(({ packages }) => packages);
    console.log(`Missing tools, so the tests that need them are SKIPPED: install ${names.join(' ')}`);
    return;
  }
  process.env.DEBIAN_FRONTEND = 'noninteractive';
  run('apt-get', 'update', '-qq');
  const missing = absent.flatMap(({ packages: [name, ...rest], or }) => [available(name, or), ...rest]);
  if (run('apt-get', 'install', '-y', '-qq', '--no-install-recommends', ...missing) !== 0) {
    console.log(`Could not install ${missing.join(' ')}: the tests that need them are SKIPPED`);
  }
}

fetchDependencies(root);
installTools();

const bin = (name) => `node_modules/.bin/${name}`;
console.log('== format, lint, types');
const checks = [
  ['format', bin('prettier'), '--check', '--log-level', 'warn', '.'],
  ['lint', bin('eslint'), '-c', 'tests/eslint.config.mjs', '--max-warnings', '0', '.'],
  ['types', bin('tsc'), '-p', 'tsconfig.json'],
  ['types of the page', bin('tsc'), '-p', 'host/web/page/tsconfig.json'],
].map(
  ([name, command, ...rest]) =>
    new Promise((resolve) =>
      execFile(command, rest, (error, stdout, stderr) => {
        process.stdout.write(stdout + stderr);
        resolve(error ? [name] : []);
      }),
    ),
);
const failedChecks = (await Promise.all(checks)).flat();

mkdirSync('tests/output', { recursive: true });
const report = 'tests/output/vitest.json';
rmSync(report, { force: true });
console.log('== tests');
const status = run(
  bin('vitest'),
  'run',
  '--config',
  'tests/vitest.config.ts',
  '--reporter=default',
  '--reporter=json',
  `--outputFile.json=${report}`,
  ...process.argv.slice(2),
);
const counts = existsSync(report)
  ? JSON.parse(readFileSync(report, 'utf8'))
  : { numPassedTests: 0, numFailedTests: 1, numPendingTests: 0 };
for (const name of failedChecks) console.log(`FAILED: ${name}`);
console.log(
  `${counts.numPassedTests + checks.length - failedChecks.length} passed, ${counts.numFailedTests + failedChecks.length} failed, ${counts.numPendingTests} skipped`,
);
process.exit(status === 0 && failedChecks.length === 0 && counts.numPassedTests > 0 ? 0 : 1);
