import { access, constants } from 'node:fs/promises';
import { setTimeout as sleep } from 'node:timers/promises';
import type { Chip, Hello, Particulars, SelfTestRow } from '../../firmware-proto/wire.ts';
import { askAboutPorts } from './askAboutPorts.ts';
import { flashCommand } from './runFlash.ts';
import { accessLines, udevRule, type ListedPort } from './portAccess.ts';
import { exitCode, Failure, type ExitCode } from '../failure.ts';
import { printJson, printResult, say } from '../output.ts';
import { BoardLink } from '../link/boardLink.ts';
import { rememberBoard } from '../link/memory.ts';
import { explainOpenFault, groupCommand, owningGroup } from '../link/openFault.ts';
import { unmetWords, type FoundPort } from '../link/metPorts.ts';
import { candidatesFor, listPorts, unmetPorts } from '../link/ports.ts';
import { texts } from './words/board.ts';

interface BoardOptions {
  port?: string;
  selftest?: boolean;
  json?: boolean;
}

const selfTestLimitMs = 10_000;

/** Shows ports, board, self-test and how to flash. Returns the exit code. */
export async function runBoard({ port, selftest, json }: BoardOptions): Promise<ExitCode> {
  const isNamed = port !== undefined && port !== 'any';
  const missing = isNamed ? await missingPort(port) : undefined;
  if (missing && !json) throw missing;
  const ports = await listedPorts(missing || !isNamed ? undefined : port);
  if (!json) await printPorts(ports);
  const link = new BoardLink({
    candidates: candidatesFor(port),
    onAnswer: (candidate, hello) => void rememberBoard(candidate, hello).catch(() => {}),
  });
  let particulars: Particulars | undefined;
  link.onReply((reply) => {
    if (reply.kind === 'particulars') particulars = reply;
  });
  let isInterrupted = false;
  const interrupt = (): void => {
    isInterrupted = true;
    void link.close();
  };
  process.once('SIGINT', interrupt);
  try {
    link.start();
    await askAboutPorts({ port, json });
    const unmet = port === undefined ? unmetWords(await unmetPorts()) : '';
    if (!json) say(texts.looking);
    const answered = await link.firstRound;
    if (isInterrupted) return exitCode.interrupted;
    const hello = answered ? link.hello() : undefined;
    if (hello !== undefined) link.send({ request: 'blink' });
    const words = hello === undefined ? unmet || link.status().words : texts.answers(link.source());
    const rows = hello !== undefined && selftest !== false ? await runSelfTest(link, () => isInterrupted) : undefined;
    if (isInterrupted) return exitCode.interrupted;
    const isFit = rows === undefined || (rows.length > 0 && rows.every(({ passed }) => passed));
    if (json) {
      printJson({
        ports: ports.map(({ usb, ...rest }) => ({ ...rest, ...usb })),
        board: hello === undefined ? null : { ...boardJson(hello), port: link.portName() },
        selfTest: rows?.map(({ name, passed, value, low, high }) => ({ name, passed, value, low, high })) ?? null,
        words,
        flashCommand: flashCommand(link.portName() ?? (isNamed ? port : undefined)),
      });
    } else {
      printBoard(hello, particulars, rows, words);
      printResult(texts.howToFlash(flashCommand(link.portName() ?? (isNamed ? port : undefined))));
    }
    if (hello === undefined) return exitCode.noBoard;
    return isFit ? exitCode.done : exitCode.refused;
  } finally {
    process.off('SIGINT', interrupt);
    await link.close();
  }
}

/** Why a named port cannot be asked at all: it is not there. */
async function missingPort(port: string): Promise<Failure | undefined> {
  if (process.platform === 'win32') return undefined;
  try {
    await access(port);
    return undefined;
  } catch (error) {
    const { code, message } = error as NodeJS.ErrnoException;
    return code === 'ENOENT' ? explainOpenFault(port, message) : undefined;
  }
}

async function listedPorts(named: string | undefined): Promise<ListedPort[]> {
  let ports: FoundPort[] = [];
  try {
    ports = await listPorts();
  } catch (error) {
    if (!(error instanceof Failure)) throw error;
    say(`${error.message} ${error.whatToDo}`);
  }
  if (named !== undefined && !ports.some(({ path }) => path === named)) ports.push({ path: named });
  return Promise.all(
    ports.map(async (port) => {
      const mayOpen = await access(port.path, constants.R_OK | constants.W_OK).then(
        () => true,
        () => process.platform === 'win32',
      );
      return {
        ...port,
        mayOpen,
        owningGroup: await owningGroup(port.path),
        groupCommand: mayOpen ? undefined : await groupCommand(port.path),
        udevRule: port.usb !== undefined && process.platform === 'linux' ? udevRule(port.usb) : undefined,
      };
    }),
  );
}

/** Rows of the self-test; fewer where the board stops answering. */
async function runSelfTest(link: BoardLink, isInterrupted: () => boolean): Promise<SelfTestRow[]> {
  const rows: SelfTestRow[] = [];
  let isOver = false;
  link.onReply((reply) => {
    if (reply.kind === 'test') rows.push(reply);
    if (reply.kind === 'acknowledged' || reply.kind === 'refused') isOver ||= reply.request === 'selftest';
  });
  link.send({ request: 'selftest' });
  const deadline = performance.now() + selfTestLimitMs;
  while (!isOver && !isInterrupted() && performance.now() < deadline) await sleep(20);
  return rows;
}

const chipJson = ({ name, id, orientation }: Chip) => ({ name, identity: hexadecimal(id), orientation });

const boardJson = (hello: Hello) => ({
  boardId: hello.boardId,
  firmware: hello.firmware,
  protocol: hello.protocol,
  accelerometer: { ...chipJson(hello.accelerometer), perCountG: hello.accelerometer.gPerCount },
  magnetometer: { ...chipJson(hello.magnetometer), perCountNt: hello.magnetometer.ntPerCount },
  gyro: hello.gyro === undefined ? null : chipJson(hello.gyro),
  rateHz: hello.sampleHz,
});

async function printPorts(ports: readonly ListedPort[]): Promise<void> {
  printResult(ports.length === 0 ? texts.noPorts : texts.ports);
  for (const { path, usb, maker, mayOpen, owningGroup: group } of ports) {
    const adapter =
      usb === undefined ? '' : texts.usb(usb.vendorId, usb.productId, usb.serialNumber ?? '', maker ?? '');
    const access = mayOpen ? texts.mayOpen : texts.mayNotOpen(group);
    printResult(`  ${path}  ${access}${adapter.trimEnd()}`);
  }
  for (const line of await accessLines(ports)) printResult(line);
}

const hexadecimal = (value: number): string => value.toString(16).toUpperCase();

function chipWords({ name, id, orientation }: Chip, at: number | undefined): string {
  const place = at === undefined || at === 0 ? '' : texts.atAddress(hexadecimal(at));
  if (id === 0) return texts.chipSilent(name);
  if (name === 'none') return texts.chipUnknown(place, hexadecimal(id));
  return texts.chip(name, place, hexadecimal(id), orientation);
}

function printBoard(
  hello: Hello | undefined,
  particulars: Particulars | undefined,
  rows: readonly SelfTestRow[] | undefined,
  words: string,
): void {
  printResult(`\n${words}`);
  if (hello === undefined) return;
  const chips = [
    ['accelerometer', hello.accelerometer, particulars?.accelerometerAt],
    ['magnetometer', hello.magnetometer, particulars?.magnetometerAt],
    ['gyro', hello.gyro, undefined],
  ] as const;
  printResult(texts.firmware(hello.firmware, hello.protocol, hello.sampleHz));
  for (const [what, chip, at] of chips) if (chip !== undefined) printResult(`  ${what} ${chipWords(chip, at)}`);
  if (rows === undefined) return;
  printResult(rows.length === 0 ? texts.noSelfTest : texts.selfTest);
  for (const { name, passed, value, low, high } of rows) {
    printResult(texts.verdict(passed, name, value, low, high));
  }
}
