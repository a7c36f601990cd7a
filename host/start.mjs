// Installs the dependencies when they are missing, then hands over to the program (or to another entry with --run FILE).
import { spawn } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { fetchDependencies } from './install.mjs';

const root = fileURLToPath(new URL('..', import.meta.url));
const [flag, entry] = process.argv.slice(2);
const other = flag === '--run' ? entry : undefined;
fetchDependencies(root);
// Resolved from here: this may be called from any folder.
const target = ['--import', import.meta.resolve('tsx'), `${root}${other ?? 'host/main.ts'}`];
const child = spawn(process.execPath, [...target, ...process.argv.slice(other === undefined ? 2 : 4)], {
  stdio: 'inherit',
});
for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP']) process.on(signal, () => child.kill(signal));
child.on('exit', (code, signal) => process.exit(code ?? (signal === 'SIGINT' ? 130 : 143)));
