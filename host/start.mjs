// Fetches the dependencies when they are missing, then hands over to the program (or to another entry with --run FILE).
import { spawnSync, spawn } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

const root = fileURLToPath(new URL('..', import.meta.url));
const [major, minor] = process.versions.node.split('.').map(Number);
if (major < 20 || (major === 20 && minor < 19)) {
  console.error(
    `Lodepole needs Node.js 20.19 or newer; this is ${process.version}. Install a newer Node.js, then try again.`,
  );
  process.exit(69);
}

/** True when every dependency that this machine needs is in node_modules at the locked version. */
export function dependenciesPresent(folder, withDevelopment) {
  const hidden = `${folder}node_modules/.package-lock.json`;
  if (!existsSync(hidden)) return false;
  const have = JSON.parse(readFileSync(hidden, 'utf8')).packages;
  const want = JSON.parse(readFileSync(`${folder}package-lock.json`, 'utf8')).packages;
  return Object.entries(want).every(
    ([path, entry]) =>
      path === '' || entry.optional || (entry.dev && !withDevelopment) || have[path]?.version === entry.version,
  );
}

/** Installs exactly what the lock file names; throws with what to do when that fails. */
export function fetchDependencies(folder, withDevelopment) {
  if (dependenciesPresent(folder, withDevelopment)) return;
  console.error('Fetching the dependencies once (this needs the internet) ...');
  const argumentsOfNpm = ['ci', '--loglevel=error', ...(withDevelopment ? [] : ['--omit=dev'])];
  const npm = spawnSync('npm', argumentsOfNpm, {
    cwd: folder,
    stdio: ['ignore', 2, 2],
    shell: process.platform === 'win32',
  });
  if (npm.status !== 0) {
    console.error(
      'The dependencies could not be fetched. Connect to the internet and try again; afterwards none is needed.',
    );
    process.exit(74);
  }
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const [flag, entry] = process.argv.slice(2);
  const other = flag === '--run' ? entry : undefined;
  fetchDependencies(root, other !== undefined);
  // Resolved from here: this may be called from any folder.
  const target = ['--import', import.meta.resolve('tsx'), `${root}${other ?? 'host/main.ts'}`];
  const child = spawn(process.execPath, [...target, ...process.argv.slice(other === undefined ? 2 : 4)], {
    stdio: 'inherit',
  });
  for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP']) process.on(signal, () => child.kill(signal));
  child.on('exit', (code, signal) => process.exit(code ?? (signal === 'SIGINT' ? 130 : 143)));
}
