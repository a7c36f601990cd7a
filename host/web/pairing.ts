import { createHash, randomBytes, randomInt, timingSafeEqual } from 'node:crypto';
import type { PairedDevice } from '../store/paired.ts';

/** Digits and letters that are not taken for one another in the dark (no I, L, O, U). */
const alphabet = '0123456789ABCDEFGHJKMNPQRSTVWXYZ';
const codeLength = 8;
const wrongCodesBeforeChange = 10;
const maximumDevices = 32;
const cookieName = 'lodepole';
/** A device comes in for so long, also after the program was started anew. */
const keptDays = 30;
const keptS = keptDays * 86_400;

const newCode = (): string => Array.from({ length: codeLength }, () => alphabet[randomInt(alphabet.length)]).join('');
const digest = (text: string): Buffer => createHash('sha256').update(text).digest();
const named = (token: string): string => digest(token).toString('base64url');

/** Upper case, without separators, look-alikes put right. */
const tidy = (typed: string): string =>
  typed.toUpperCase().replace(/[\s-]/g, '').replace(/O/g, '0').replace(/[IL]/g, '1').replace(/U/g, 'V');

/** One code pairs one device; then a new code takes its place. Wrong guesses change it too. */
export class Pairing {
  private current = newCode();
  private wrong = 0;
  /** Digests of tokens, and until when each is good (milliseconds UTC). */
  private readonly devices: Map<string, number>;
  private readonly keep: (devices: PairedDevice[]) => void;
  private readonly onNewCode: (code: string) => void;

  /** @param keep is given all devices whenever one more was paired */
  constructor(
    onNewCode: (code: string) => void,
    paired: readonly PairedDevice[] = [],
    keep: (devices: PairedDevice[]) => void = () => {},
  ) {
    this.onNewCode = onNewCode;
    this.keep = keep;
    this.devices = new Map(paired.map(({ digest: name, untilUtc }) => [name, Date.parse(untilUtc)]));
  }

  /** As shown to people: two groups of four. */
  get code(): string {
    return `${this.current.slice(0, 4)}-${this.current.slice(4)}`;
  }

  /** The cookie to set when the code is right, else undefined. */
  pair(typed: string): string | undefined {
    if (!timingSafeEqual(digest(tidy(typed)), digest(this.current))) {
      this.wrong += 1;
      if (this.wrong >= wrongCodesBeforeChange) this.change();
      return undefined;
    }
    const token = randomBytes(24).toString('base64url');
    for (const [name, untilMs] of this.devices) if (untilMs < Date.now()) this.devices.delete(name);
    if (this.devices.size >= maximumDevices) this.devices.delete([...this.devices.keys()][0]);
    this.devices.set(named(token), Date.now() + keptS * 1000);
    this.keep(
      [...this.devices].map(([name, untilMs]) => ({ digest: name, untilUtc: new Date(untilMs).toISOString() })),
    );
    this.change();
    return `${cookieName}=${token}; Path=/; HttpOnly; SameSite=Strict; Max-Age=${keptS}`;
  }

  isPaired(cookieHeader: string | undefined): boolean {
    const token = /(?:^|;\s*)lodepole=([\w-]{32})(?:;|$)/.exec(cookieHeader ?? '')?.[1];
    return token !== undefined && (this.devices.get(named(token)) ?? 0) > Date.now();
  }

  private change(): void {
    this.current = newCode();
    this.wrong = 0;
    this.onNewCode(this.code);
  }
}
