// What the program takes of a small computer at the mount; reads /proc, so on Linux only, and needs socat.
import { spawn, spawnSync } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { get } from 'node:http';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { degree } from '../../calibration/angle.ts';
import { FastBoard } from '../../firmware-proto/virtual/fastBoard.ts';
import { openPseudoTerminal } from '../../firmware-proto/virtual/pseudoTerminal.ts';
import { createWorld } from '../../firmware-proto/virtual/world.ts';
import { rehearseFast } from '../../host/live/rehearseFast.ts';
import { saveSwing } from '../../host/store/profile.ts';

const seed = 4;
const startS = 15;
/** Seconds may be given in LODEPOLE_HOST_S. */
const seconds = Number(process.env.LODEPOLE_HOST_S ?? 60);
const root = fileURLToPath(new URL('../../', import.meta.url));

const wait = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms));

interface Taken {
  memoryMb: number;
  mostMb: number;
  processorS: number;
}

/** Of one process since its start; proc(5): fields 14 and 15 of `stat` in clock ticks, `VmRSS` and `VmHWM` in kB. */
function takenBy(pid: number, ticksPerS: number): Taken {
  const fields = readFileSync(`/proc/${pid}/stat`, 'utf8').split(') ')[1].split(' ');
  const status = readFileSync(`/proc/${pid}/status`, 'utf8');
  const mb = (name: string): number => (Number(new RegExp(`${name}:\\s+(\\d+)`).exec(status)?.[1]) * 1024) / 1e6;
  return {
    memoryMb: mb('VmRSS'),
    mostMb: mb('VmHWM'),
    processorS: (Number(fields[11]) + Number(fields[12])) / ticksPerS,
  };
}

/** One who looks at the page until the program ends. */
const view = (url: string, onBytes: (bytes: number) => void): void =>
  void get(url, (reply) => reply.on('data', (part: Buffer) => onBytes(part.length)).on('error', () => {}));

/** The installed program on a calibrated board at a pseudo-terminal; the board is in this process, the program in its own. */
export async function run(): Promise<void> {
  const ticksPerS = Number(spawnSync('getconf', ['CLK_TCK'], { encoding: 'utf8' }).stdout);
  const home = mkdtempSync(join(tmpdir(), 'lodepole-host-'));
  process.env.LODEPOLE_HOME = home;
  spawnSync(process.execPath, [`${root}host/start.mjs`, '--run', 'host/build.ts'], { stdio: 'inherit' });
  const world = createWorld('orchard', { seed });
  const board = new FastBoard(world);
  const { latitudeRad, longitudeRad } = world.scene.place;
  await saveSwing(board.hello, world.scene.place, rehearseFast('orchard', { seed }).swing);
  board.start();
  const far = await openPseudoTerminal(join(home, 'port'), board);
  const place = ['--lat', String(latitudeRad / degree), '--lon', String(longitudeRad / degree)];
  const words = [`${root}built/main.mjs`, '--port', far.path, ...place, '--page-port', '0', '--share'];
  const program = spawn(process.execPath, words, { stdio: ['ignore', 'pipe', 'pipe'] });
  let said = '';
  for (const stream of [program.stdout, program.stderr]) stream.on('data', (text: Buffer) => (said += text.toString()));
  const pid = program.pid ?? NaN;
  try {
    await wait(startS * 1000);
    const url = /http:\/\/(?:127\.0\.0\.1|localhost):\d+\//.exec(said)?.[0];
    if (url === undefined || !said.includes('Axis from the swing'))
      throw new Error(`The program serves no page of a board that has swung: ${said}`);
    console.log(
      `The bundled program, shared, on a calibrated board of ${board.hello.sampleHz} samples a second (orchard, seed ${seed}, at a pseudo-terminal), ${seconds} s each. ` +
        `Its start took ${takenBy(pid, ticksPerS).processorS.toFixed(1)} s of processor time.\n`,
    );
    console.log('viewers of the page   memory MB   most MB   percent of one core   pushed kB/s');
    let pushedKb = 0;
    for (const viewers of [0, 1, 2]) {
      if (viewers > 0) view(`${url}api/live`, (bytes) => (pushedKb += bytes / 1e3));
      const [before, startMs, pushedBefore] = [takenBy(pid, ticksPerS), performance.now(), pushedKb];
      await wait(seconds * 1000);
      const [after, tookS] = [takenBy(pid, ticksPerS), (performance.now() - startMs) / 1000];
      const pushed = (pushedKb - pushedBefore) / tookS;
      const share = (100 * (after.processorS - before.processorS)) / tookS;
      console.log(
        String(viewers).padStart(19) +
          after.memoryMb.toFixed(0).padStart(12) +
          after.mostMb.toFixed(0).padStart(10) +
          share.toFixed(1).padStart(22) +
          pushed.toFixed(1).padStart(14),
      );
    }
  } finally {
    const ended = once(program, 'close');
    program.kill();
    await ended;
    await far.close();
    await board.close();
    rmSync(home, { recursive: true });
    rmSync(`${root}built`, { recursive: true });
    delete process.env.LODEPOLE_HOME;
  }
}
