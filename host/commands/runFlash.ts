import { spawn } from 'node:child_process';
import { readFile } from 'node:fs/promises';
import { setTimeout as sleep } from 'node:timers/promises';
import { fileURLToPath } from 'node:url';
import type { Hello } from '../../firmware-proto/wire.ts';
import { exitCode, Failure, type ExitCode } from '../failure.ts';
import { boardDriveAt, boardDrives, type BoardDrive } from '../link/boardDrives.ts';
import { BoardLink } from '../link/boardLink.ts';
import { copyImage } from '../link/copyImage.ts';
import { boardCandidates } from '../link/ports.ts';
import { serialCandidate } from '../link/serialPort.ts';
import { printJson, printResult, say } from '../output.ts';
import { showMeter } from './meter.ts';
import { texts } from './words/board.ts';

interface FlashOptions {
  /** Serial port of an ATmega328P board. */
  port?: string;
  /** Folder of the board's drive. */
  drive?: string;
  json?: boolean;
}

const imageFolder = new URL('../../firmware-proto/image/', import.meta.url);
const imageAt = (name: string): string => fileURLToPath(new URL(name, imageFolder));
const nanoImage = 'lodepole-nano.hex';
/** The newer boot loader first. */
const bauds = [115200, 57600];
const helloPatienceS = 20;

const avrdudeArguments = (port: string, baud: number): string[] => [
  ...['-c', 'arduino', '-p', 'atmega328p', '-b', String(baud), '-P', port],
  ...['-D', '-U', `flash:w:${imageAt(nanoImage)}:i`],
];

/** The command that does it by hand. */
export const flashCommand = (port = '/dev/ttyUSB0'): string => `avrdude ${avrdudeArguments(port, bauds[0]).join(' ')}`;

/** Puts the program onto a board: onto its drive, or by avrdude, and asks the board afterwards. Returns the exit code. */
export async function runFlash({ port, drive: folder, json }: FlashOptions): Promise<ExitCode> {
  const drive = port === undefined ? await driveToUse(folder) : undefined;
  let image = nanoImage;
  let where = port;
  if (drive !== undefined) {
    image = drive.image ?? nanoImage;
    where = drive.folder;
    say(texts.copying(image, drive.name, drive.folder));
    await copyImage(drive, imageAt(image));
  } else {
    where = port ?? (await portOfOurBoard());
    if (where === undefined) throw nothingToFlash();
    await flashByAvrdude(where);
  }
  say(texts.waitingForStart);
  const meter = showMeter(() => texts.atMost(helloPatienceS));
  const hello = await helloAfter(drive === undefined ? where : undefined).finally(meter.end);
  const version = await programVersion();
  const isDone = hello?.firmware === version;
  const words = isDone
    ? texts.runs(hello.boardId, version)
    : hello === undefined
      ? texts.noHelloYet
      : texts.otherVersion(hello.boardId, hello.firmware, version);
  if (json) printJson({ accepted: isDone, image, target: where, firmware: hello?.firmware ?? null, words });
  else printResult(words);
  return isDone ? exitCode.done : hello === undefined ? exitCode.noBoard : exitCode.refused;
}

async function driveToUse(folder: string | undefined): Promise<BoardDrive | undefined> {
  if (folder !== undefined) {
    const drive = await boardDriveAt(folder);
    if (drive !== undefined) return drive;
    throw new Failure(
      exitCode.refused,
      `${folder} is not the drive of a board. Nothing was written.`,
      'Name the folder that contains INFO_UF2.TXT (Pico) or DETAILS.TXT (micro:bit).',
    );
  }
  const drives = (await boardDrives()).filter(({ image }) => image !== undefined);
  if (drives.length < 2) return drives[0];
  throw new Failure(
    exitCode.refused,
    `Several boards show a drive: ${drives.map((drive) => drive.folder).join(', ')}. Nothing was written.`,
    'Name one with --drive, or unplug the others.',
  );
}

/** A port is written to only where one of our boards has answered on it, or where it was named. */
async function portOfOurBoard(): Promise<string | undefined> {
  const link = new BoardLink({ candidates: boardCandidates });
  try {
    let processor = 'atmega328p'; // what boards are that do not say
    link.onReply((reply) => {
      if (reply.kind === 'particulars' && reply.processor !== undefined) processor = reply.processor;
    });
    link.start();
    if (!(await link.firstRound)) return undefined;
    await sleep(300);
    if (processor === 'atmega328p') return link.portName();
    throw new Failure(
      exitCode.refused,
      `${link.source()} has the processor ${processor} and shows no drive now.`,
      processor === 'rp2040'
        ? 'Unplug it, hold its button down, plug it in again, and repeat the command.'
        : 'Plug it in so that its drive appears, or flash it from where you built it.',
    );
  } finally {
    await link.close();
  }
}

const nothingToFlash = (): Failure =>
  new Failure(
    exitCode.noBoard,
    'No board was found that can be flashed: no drive of a board, and no board that answers.',
    `Hold a Pico's button while you plug it in; plug in a micro:bit V2; or, for an ATmega328P board, name its port with --port, or run ${flashCommand()}`,
  );

async function flashByAvrdude(port: string): Promise<void> {
  for (const baud of bauds) {
    say(texts.flashing(port, baud));
    if (await avrdude(avrdudeArguments(port, baud), port)) return;
  }
  throw new Failure(
    exitCode.inputOutput,
    `avrdude could not flash the board on ${port}; its message is above.`,
    'Check that this is the port of an ATmega328P board, that the cable carries data, and that no other program has the port open.',
  );
}

function avrdude(args: readonly string[], port: string): Promise<boolean> {
  return new Promise((resolve, reject) => {
    const child = spawn('avrdude', args, { stdio: ['ignore', 'inherit', 'inherit'] });
    child.once('error', () =>
      reject(
        new Failure(
          exitCode.inputOutput,
          'avrdude is not installed here.',
          `Install it (Debian: apt install avrdude) and repeat the command, or run elsewhere: ${flashCommand(port)}`,
        ),
      ),
    );
    child.once('exit', (code) => resolve(code === 0));
  });
}

async function helloAfter(port: string | undefined): Promise<Hello | undefined> {
  const link = new BoardLink({
    candidates: port === undefined ? boardCandidates : async () => [serialCandidate(port)],
  });
  try {
    link.start();
    const deadline = performance.now() + helloPatienceS * 1000;
    while (link.hello() === undefined && performance.now() < deadline) await sleep(100);
    return link.hello();
  } finally {
    await link.close();
  }
}

async function programVersion(): Promise<string> {
  const text = await readFile(new URL('../../package.json', import.meta.url), 'utf8');
  return (JSON.parse(text) as { version: string }).version;
}
