import { readdir, readFile, readlink, realpath, stat } from 'node:fs/promises';
import { userInfo } from 'node:os';
import { exitCode, Failure } from '../failure.ts';

/** The serial binding's open errors are text only. */
type OpenFaultKind = 'permission' | 'busy' | 'missing' | 'notSerial' | 'other';

export function openFaultKind(message: string): OpenFaultKind {
  if (/cannot lock port|resource (temporarily )?(unavailable|busy)|device or resource busy/i.test(message))
    return 'busy';
  if (/access (is )?denied/i.test(message)) return process.platform === 'win32' ? 'busy' : 'permission';
  if (/permission denied|operation not permitted/i.test(message)) return 'permission';
  if (/no such (file|device)|file not found|cannot find/i.test(message)) return 'missing';
  if (/inappropriate ioctl|not a (typewriter|tty)|is a directory|invalid argument/i.test(message)) return 'notSerial';
  return 'other';
}

/** Name of the group that owns a device; its number where it has no name. */
export async function owningGroup(path: string): Promise<string | undefined> {
  try {
    const { gid } = await stat(path);
    const groups = await readFile('/etc/group', 'utf8');
    const line = groups.split('\n').find((entry) => entry.split(':')[2] === String(gid));
    return line?.split(':')[0] ?? String(gid);
  } catch {
    return undefined;
  }
}

/** The exact command that lets this user open the device; undefined where groups do not decide that. */
export async function groupCommand(path: string): Promise<string | undefined> {
  const group = await owningGroup(path);
  if (group === undefined || group === 'root') return undefined;
  return `sudo usermod -a -G ${group} ${userInfo().username}`;
}

/** Programs that hold a device open, as far as this user may know (Linux). */
async function holdersOf(path: string): Promise<string[]> {
  const device = await realpath(path).catch(() => path);
  const processes = await readdir('/proc').catch(() => []);
  const holders: string[] = [];
  for (const pid of processes.filter((name) => /^\d+$/.test(name) && Number(name) !== process.pid)) {
    const files = await readdir(`/proc/${pid}/fd`).catch(() => []);
    const targets = await Promise.all(files.map((file) => readlink(`/proc/${pid}/fd/${file}`).catch(() => '')));
    if (!targets.includes(device)) continue;
    const name = await readFile(`/proc/${pid}/comm`, 'utf8').catch(() => 'a program');
    holders.push(`${name.trim()} (process ${pid})`);
  }
  return holders;
}

/** What is wrong with a port that did not open, and what to do about it. */
export async function explainOpenFault(path: string, message: string): Promise<Failure> {
  const failure = (what: string, whatToDo: string): Failure =>
    new Failure(exitCode.noBoard, what, whatToDo, { cause: new Error(message) });
  switch (openFaultKind(message)) {
    case 'permission': {
      const command = await groupCommand(path);
      return failure(
        `${path} may not be opened by user ${userInfo().username}.`,
        command === undefined
          ? `Let an administrator give you access to ${path}; for a USB adapter on Linux: "lodepole board --udev install".`
          : `Run "${command}", then log out and in. "lodepole board" shows other ways.`,
      );
    }
    case 'busy': {
      const holders = await holdersOf(path);
      return failure(
        `${path} is in use by ${holders.length > 0 ? holders.join(', ') : 'another program'}.`,
        'Close that program; a terminal program, an editor for boards or a modem service may hold it.',
      );
    }
    case 'missing':
      return failure(
        `${path} is not there.`,
        'Plug it in, or run "lodepole board" to see which ports there are; the name may have changed.',
      );
    case 'notSerial':
      return failure(`${path} is not a serial port.`, 'Run "lodepole board" to see which ports there are.');
    case 'other':
      return failure(`${path} does not open.`, 'Unplug it, plug it in again and try once more.');
  }
}
