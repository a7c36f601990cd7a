import { createHash, randomBytes, randomInt, timingSafeEqual } from 'node:crypto';

/** Digits and letters that are not taken for one another in the dark (no I, L, O, U). */
const alphabet = '0123456789ABCDEFGHJKMNPQRSTVWXYZ';
const codeLength = 8;
const wrongCodesBeforeChange = 10;
const maximumDevices = 32;
const cookieName = 'lodepole';

const newCode = (): string => Array.from({ length: codeLength }, () => alphabet[randomInt(alphabet.length)]).join('');
const digest = (text: string): Buffer => createHash('sha256').update(text).digest();

/** Upper case, without separators, look-alikes put right. */
const tidy = (typed: string): string =>
  typed.toUpperCase().replace(/[\s-]/g, '').replace(/O/g, '0').replace(/[IL]/g, '1').replace(/U/g, 'V');

/** One code pairs one device; then a new code takes its place. Wrong guesses change it too. */
export class Pairing {
  private current = newCode();
  private wrong = 0;
  private readonly tokens = new Set<string>();
  private readonly onNewCode: (code: string) => void;

  constructor(onNewCode: (code: string) => void) {
    this.onNewCode = onNewCode;
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
    if (this.tokens.size >= maximumDevices) this.tokens.delete([...this.tokens][0]);
    this.tokens.add(token);
    this.change();
    return `${cookieName}=${token}; Path=/; HttpOnly; SameSite=Strict`;
  }

  isPaired(cookieHeader: string | undefined): boolean {
    const token = /(?:^|;\s*)lodepole=([\w-]{32})(?:;|$)/.exec(cookieHeader ?? '')?.[1];
    return token !== undefined && this.tokens.has(token);
  }

  private change(): void {
    this.current = newCode();
    this.wrong = 0;
    this.onNewCode(this.code);
  }
}
