// Installs what the lock file names, in a checkout; Node's own modules only, since nothing else is there yet.
import { spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, readFileSync, renameSync, rmSync, statSync, writeFileSync } from 'node:fs';

const needs = [20, 19];
const [major, minor] = process.versions.node.split('.').map(Number);
if (major < needs[0] || (major === needs[0] && minor < needs[1])) {
  console.error(
    `Lodepole needs Node.js ${needs.join('.')} or newer; this is ${process.version}. Install a newer Node.js, then try again.`,
  );
  process.exit(69);
}

/** True when every package that this machine needs is in node_modules at the locked version. */
function dependenciesPresent(folder) {
  const hidden = `${folder}node_modules/.package-lock.json`;
  if (!existsSync(hidden)) return false;
  const have = JSON.parse(readFileSync(hidden, 'utf8')).packages;
  const want = JSON.parse(readFileSync(`${folder}package-lock.json`, 'utf8')).packages;
  return Object.entries(want).every(
    ([path, entry]) => path === '' || entry.optional || have[path]?.version === entry.version,
  );
}

/**
 * Installs exactly what the lock file names, one program at a time; ends the program with what to do when that fails. Where
 * something is installed already the rest is put beside it: whatever runs from there goes on.
 */
export function fetchDependencies(folder, npm = runNpm) {
  if (dependenciesPresent(folder)) return;
  const release = takeLock(`${folder}node_modules.lock`);
  try {
    // another program may have done it meanwhile
    if (dependenciesPresent(folder)) return;
    console.error('Installing dependencies (needs the internet, first run only) ...');
    // `npm ci` removes node_modules first, from under the feet of a program that runs
    const isBegun = existsSync(`${folder}node_modules/.package-lock.json`);
    if (npm(folder, isBegun ? ['install', '--no-save'] : ['ci']) === 0) return;
  } finally {
    release();
  }
  console.error(
    'The dependencies were not installed. Connect to the internet and try again; afterwards none is needed.',
  );
  process.exit(74);
}

const runNpm = (folder, words) =>
  spawnSync('npm', [...words, '--loglevel=error'], {
    cwd: folder,
    stdio: ['ignore', 2, 2],
    shell: process.platform === 'win32',
  }).status;

const askAgainMs = 200;
/** A holder writes its number at once. */
const namelessMs = 2000;

/** A folder that one program can make, with its process number in it. Waits for a holder that runs; one that was killed gives way. */
function takeLock(path) {
  let isSaid = false;
  for (;;) {
    try {
      mkdirSync(path);
      writeFileSync(`${path}/process`, String(process.pid));
      const release = () => rmSync(path, { recursive: true, force: true });
      return release;
    } catch (error) {
      if (error.code !== 'EEXIST' && error.code !== 'ENOENT') {
        console.error(`${path} cannot be made, so nothing can be installed. Check who may write to that folder.`);
        process.exit(74);
      }
    }
    const holder = holderOf(path);
    if (holder === 'gone') takeAway(path);
    else if (!isSaid) {
      isSaid = true;
      console.error('Another program is installing the dependencies. Waiting for it ...');
    }
    Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, askAgainMs);
  }
}

function holderOf(path) {
  try {
    const pid = Number(readFileSync(`${path}/process`, 'utf8'));
    process.kill(pid, 0);
    return 'running';
  } catch (error) {
    if (error.code === 'EPERM') return 'running';
    if (error.code === 'ESRCH') return 'gone';
  }
  try {
    return Date.now() - statSync(path).mtimeMs > namelessMs ? 'gone' : 'running';
  } catch {
    return 'running';
  }
}

/** Only one of several can move it away; one that moved the lock of a program that has just begun puts it back. */
function takeAway(path) {
  const aside = `${path}.${process.pid}`;
  try {
    renameSync(path, aside);
    if (holderOf(aside) === 'running') renameSync(aside, path);
    else rmSync(aside, { recursive: true, force: true });
  } catch {
    // another program was quicker
  }
}
