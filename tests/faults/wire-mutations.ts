import { decodeLine, encodeHello, encodeSample, type Decoded } from '../../firmware-proto/wire.ts';
import { Random } from '../../firmware-proto/virtual/random.ts';
import { testHello } from './link-farEnd.ts';

/** CRC-16/CCITT-FALSE bit by bit, as WIRE.md words it: written apart from the codec's table. */
export function crcBitByBit(text: string): number {
  let register = 0xffff;
  for (const char of text) {
    for (let bit = 7; bit >= 0; bit -= 1) {
      const out = ((register >> 15) & 1) ^ ((char.charCodeAt(0) >> bit) & 1);
      register = (register << 1) & 0xffff;
      if (out === 1) register ^= 0x1021;
    }
  }
  return register;
}

type Mutation = (line: string, random: Random) => string;
const pick = (random: Random, below: number): number => Math.floor(random.uniform() * below);
const replaceAt = (line: string, at: number, text: string): string =>
  line.slice(0, at) + text + line.slice(at + text.length);
const anyChar = (random: Random): string => String.fromCharCode(pick(random, 256));
const flipBit = (line: string, bit: number): string =>
  replaceAt(line, bit >> 3, String.fromCharCode(line.charCodeAt(bit >> 3) ^ (1 << (bit & 7))));

/**
 * `certain`: damage that this CRC always finds: all single and double bits, all bursts within 16 bits. Standard properties of its
 * polynomial; Koopman and Chakravarty 2004, "Cyclic redundancy code (CRC) polynomial selection", cited from memory.
 */
const mutations: Record<string, { certain: boolean; apply: Mutation }> = {
  'one bit': { certain: true, apply: (line, random) => flipBit(line, pick(random, line.length * 8)) },
  'two bits of the body': {
    certain: true,
    apply: (line, random) => {
      const bits = (line.length - ' *FFFF'.length) * 8;
      return flipBit(flipBit(line, pick(random, bits)), pick(random, bits));
    },
  },
  'burst of 16 bits': {
    certain: true,
    apply: (line, random) => replaceAt(line, pick(random, line.length - 2), anyChar(random) + anyChar(random)),
  },
  'digits exchanged for digits': {
    certain: false,
    apply: (line, random) => {
      let result = line;
      for (let n = 2 + pick(random, 4); n > 0; n -= 1) {
        const at = pick(random, line.length);
        if (/[1-9]/.test(line[at])) result = replaceAt(result, at, String(1 + pick(random, 9)));
      }
      return result;
    },
  },
  'bytes at random': {
    certain: false,
    apply: (line, random) => {
      let result = line;
      for (let n = 1 + pick(random, 8); n > 0; n -= 1)
        result = replaceAt(result, pick(random, line.length), anyChar(random));
      return result;
    },
  },
  'bytes left out': {
    certain: false,
    apply: (line, random) => {
      const at = pick(random, line.length);
      return line.slice(0, at) + line.slice(at + 1 + pick(random, 8));
    },
  },
  'bytes put in': {
    certain: false,
    apply: (line, random) => {
      const at = pick(random, line.length);
      const more = Array.from({ length: 1 + pick(random, 6) }, () => '0123456789 -'[pick(random, 12)]);
      return line.slice(0, at) + more.join('') + line.slice(at);
    },
  },
  'two neighbours exchanged': {
    certain: true,
    apply: (line, random) => {
      const at = pick(random, line.length - 1);
      return line.slice(0, at) + line[at + 1] + line[at] + line.slice(at + 2);
    },
  },
  'head of one, tail of the next': {
    certain: false,
    apply: (line, random) => {
      const next = randomLine(random);
      const joined = line.slice(0, pick(random, line.length)) + next.slice(pick(random, 40));
      return joined === next ? line : joined;
    },
  },
  'another CRC': {
    certain: true,
    apply: (line, random) => `${line.slice(0, -4)}${pick(random, 65536).toString(16).toUpperCase().padStart(4, '0')}`,
  },
};

const hello = encodeHello(testHello).trimEnd();
const count16 = (random: Random): number => pick(random, 65536) - 32768;

function randomLine(random: Random): string {
  if (random.uniform() < 0.02) return hello;
  const counts = (): [number, number, number] => [count16(random), count16(random), count16(random)];
  const rate = random.uniform() < 0.3 ? counts() : undefined;
  const [seq, micros] = [pick(random, 65536), pick(random, 4294967296)];
  return encodeSample({ seq, micros, accel: counts(), field: counts(), rate, temperature: count16(random) }).trimEnd();
}

const names = Object.keys(mutations);

/** A sound line, and the same with damage of the kind `at` (any integer); their line ends are left out. */
export function damagedLine(at: number, random: Random): { name: string; line: string; damaged: string } {
  const name = names[at % names.length];
  const line = randomLine(random);
  return { name, line, damaged: mutations[name].apply(line, random) };
}

export interface MutationCount {
  lines: number;
  /** Still framed: one capital letter at the head, a CRC at the tail; only the CRC stands between them and belief. */
  framed: number;
  /** Altered lines whose CRC fits all the same. */
  collisions: number;
  /** Collisions that are even well-formed, so that they are believed. */
  believed: number;
  /** Believed although the CRC, calculated apart, does not fit: must be none. */
  wronglyBelieved: number;
  crashes: number;
}

/** Mutates `count` sound lines and decodes them; counts by kind of damage. Reproducible by `seed`. */
export function mutateLines(count: number, seed: number): Map<string, MutationCount & { certain: boolean }> {
  const random = new Random(seed);
  const counts = new Map(
    names.map((name) => [
      name,
      {
        certain: mutations[name].certain,
        lines: 0,
        framed: 0,
        collisions: 0,
        believed: 0,
        wronglyBelieved: 0,
        crashes: 0,
      },
    ]),
  );
  for (let n = 0; n < count; n += 1) {
    const { name, line, damaged: mutated } = damagedLine(n, random);
    // What was only exchanged for itself is no damage; a line end more or less is none either.
    if (mutated === line || mutated.replace(/\r?\n?$/, '') === line) continue;
    const tally = counts.get(name);
    if (tally === undefined) continue;
    tally.lines += 1;
    let decoded: Decoded;
    try {
      decoded = decodeLine(mutated);
    } catch {
      tally.crashes += 1;
      continue;
    }
    const frame = /^([A-Z] [^]*) \*([0-9A-F]{4})\r?\n?$/.exec(mutated);
    const fits = frame !== null && crcBitByBit(frame[1]) === Number.parseInt(frame[2], 16);
    const isBelieved = decoded.kind !== 'bad';
    if (frame !== null) tally.framed += 1;
    if (fits) tally.collisions += 1;
    if (isBelieved) tally.believed += 1;
    if (isBelieved && !fits) tally.wronglyBelieved += 1;
  }
  return counts;
}
