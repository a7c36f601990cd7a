import { exitCode, Failure } from '../failure.ts';
import type { LiveSession } from '../live/session.ts';
import { say } from '../output.ts';
import { carryOn, type CarriedAnswer } from '../night/carriedAnswer.ts';
import { loadPaired, savePaired, type PairedDevice } from '../store/paired.ts';
import { loadAssets } from './assets.ts';
import { pushChanges } from './greeting.ts';
import { Guard } from './guard.ts';
import { answerToName, sharedName } from './hostName.ts';
import { pushNeedles } from './needlesPush.ts';
import { Pairing } from './pairing.ts';
import { buildServer } from './server.ts';
import { codeShown, sharedAddresses, type CodeShown } from './share.ts';
import { Night } from './sheet/nightAtPage.ts';
import { nightSteps } from './sheet/nightSteps.ts';
import { Sheet } from './sheet/sheet.ts';
import { Trace } from './trace.ts';
import { Viewers } from './viewers.ts';

const usualPort = 7341;
const followEveryMs = 2000;

interface PageOptions {
  /** Port to listen on; 0 takes any free one. Without it the usual port, or any free one where that is taken. */
  port?: number;
  /** Also serves the local network, behind a pairing code that `onCode` is given. */
  share?: boolean;
  /** Finds the addresses of this machine in its networks, where its interfaces are not to be asked. */
  addresses?: () => string[];
  /** Told each new pairing code; without it words and QR code go to `show`. */
  onCode?: (shown: CodeShown) => void;
  /** Look of the terminal, for the QR code. */
  look?: 'dark' | 'day';
  /** Shows text to the person at the terminal; stderr if not given. */
  show?: (text: string) => void;
  /** Told when a person takes a virtual mount in hand, so that scripted hands keep off it. */
  onHands?: () => void;
  /** The answer that the needles carry, where the caller shows it too. */
  carried?: CarriedAnswer;
  /** What comes next this evening. */
  coming?: Night['coming'];
}

export interface PageServer {
  /** Address for a browser on this machine. */
  readonly url: string;
  readonly port: number;
  /** Addresses for other devices; empty when nothing is shared. */
  readonly sharedUrls: readonly string[];
  /** The code that pairs the next device; undefined when nothing is shared. */
  pairingCode(): string | undefined;
  viewers(): number;
  close(): Promise<void>;
}

/** Serves the page of a session; the session stays the caller's to close. */
export async function startPage(session: LiveSession, options: PageOptions = {}): Promise<PageServer> {
  const share = options.share ?? false;
  const show = options.show ?? say;
  const findAddresses = options.addresses ?? sharedAddresses;
  let addresses = share ? findAddresses() : [];
  const guardNow = (): Guard => new Guard(port, share ? [...addresses, sharedName] : []);
  let port = 0;
  let guard = guardNow();
  const onCode = options.onCode ?? (({ picture, words }: CodeShown) => show(`${picture}\n${words}`));
  const offerCode = async (code: string, to: readonly string[] = addresses): Promise<void> => {
    for (const address of to) onCode(await codeShown(address, port, code, options.look ?? 'dark'));
  };
  const pairing = new Pairing(
    (code) => void offerCode(code),
    share ? await pairedBefore(show) : [],
    (devices) => void savePaired(devices).catch((fault: unknown) => show(wordsOf(fault))),
  );
  const viewers = new Viewers();
  const trace = new Trace(session);
  const carried = options.carried ?? (await carryOn(session, show));
  const night = new Night(session, carried, options.coming);
  const sheet = new Sheet(nightSteps(night));
  const server = await buildServer({
    night,
    sheet,
    trace,
    viewers,
    pairing,
    assets: await loadAssets(),
    guard: () => guard,
    log: show,
    onHands: options.onHands ?? (() => {}),
  });
  port = await listen(server, share ? '0.0.0.0' : '127.0.0.1', options.port);
  guard = guardNow();
  /** The machine may get another address while it runs. */
  const followAddresses = (): void => {
    const found = findAddresses();
    if (found.join() === addresses.join()) return;
    const fresh = found.filter((address) => !addresses.includes(address));
    addresses = found;
    guard = guardNow();
    void offerCode(pairing.code, fresh);
  };
  const following = share ? setInterval(followAddresses, followEveryMs) : undefined;
  const stopAnswering = share ? answerToName(() => addresses) : () => {};
  const stopPushing = pushNeedles(session, viewers);
  const stopChanges = pushChanges(night, sheet, viewers);
  if (share) {
    if (addresses.length === 0) show('No local network was found: the page is on this machine only.');
    await offerCode(pairing.code);
  }
  return {
    url: `http://127.0.0.1:${port}/`,
    port,
    get sharedUrls() {
      return addresses.map((address) => `http://${address}:${port}/`);
    },
    pairingCode: () => (share ? pairing.code : undefined),
    viewers: () => viewers.count,
    close: async () => {
      clearInterval(following);
      stopAnswering();
      stopPushing();
      stopChanges();
      trace.close();
      sheet.close();
      if (!options.carried) carried.close();
      viewers.close();
      await server.close();
    },
  };
}

const wordsOf = (fault: unknown): string =>
  fault instanceof Failure ? `${fault.message}\n${fault.whatToDo}` : String(fault);

/** Devices that were paired on other evenings; a file that cannot be read is told, and everybody pairs anew. */
const pairedBefore = (show: (text: string) => void): Promise<PairedDevice[]> =>
  loadPaired().catch((fault: unknown) => {
    show(wordsOf(fault));
    return [];
  });

async function listen(
  server: Awaited<ReturnType<typeof buildServer>>,
  host: string,
  port: number | undefined,
): Promise<number> {
  const tryPort = async (candidate: number): Promise<number> => {
    await server.listen({ host, port: candidate });
    const address = server.server.address();
    return typeof address === 'object' && address ? address.port : candidate;
  };
  try {
    return await tryPort(port ?? usualPort);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== 'EADDRINUSE') throw error;
    if (port === undefined) return tryPort(0);
    throw new Failure(
      exitCode.inputOutput,
      `Port ${port} for the page is taken by another program.`,
      'Choose another with --page-port, or leave it out.',
      { cause: error },
    );
  }
}
