import { ReadlineParser } from '@serialport/parser-readline';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { Random } from '../../firmware-proto/virtual/random.ts';
import { bytesOf, decodeBytes, decodeLine, maxLineBytes, textOf } from '../../firmware-proto/wire.ts';
import { CappedLines } from '../../host/link/cappedLines.ts';
import { crcBitByBit, damagedLine } from '../faults/wire-mutations.ts';
import { vectorsOf } from './wireVectors.ts';

const seed = 20261125;

/**
 * WIRE.md read once more, with patterns over text: a sample, why a line is not believed, or `other` for the rest. Written apart from
 * the codec, with a CRC of its own.
 */
function readAsText(line: string): unknown {
  const text = line.replace(/\n$/, '').replace(/\r$/, '');
  const not = (bad: string): unknown => ({ kind: 'bad', bad });
  if (text.length > maxLineBytes - 2) return not('overLong');
  const hasTail = /[^] \*[0-9A-F]{4}$/.test(text);
  if (!/^[A-Z] /.test(text) || !hasTail) {
    if (/[^\t -~]/.test(text)) return not('noise');
    const isTorn = hasTail || /^[A-Z] [-+=.*A-Za-z0-9 ]*$/.test(text);
    return not(isTorn ? 'torn' : 'foreign');
  }
  const body = text.slice(0, -6);
  if (crcBitByBit(body) !== Number.parseInt(text.slice(-4), 16)) return not('badCrc');
  if (!/^[SG]/.test(text)) return 'other';
  const fields = body.split(' ').slice(1);
  const isWithin = (field: string, at: number): boolean => {
    const value = BigInt(field);
    if (at === 0) return value >= 0n && value <= 65535n;
    return at === 1 ? value >= 0n && value <= 4294967295n : value >= -32768n && value <= 32767n;
  };
  const isSound =
    fields.length === (text[0] === 'G' ? 12 : 9) &&
    fields.every((field, at) => /^(0|-?[1-9]\d*)$/.test(field) && isWithin(field, at));
  if (!isSound) return not('malformed');
  const [seq, micros, ...counts] = fields.map(Number);
  return {
    kind: 'sample',
    seq,
    micros,
    accel: counts.slice(0, 3),
    field: counts.slice(3, 6),
    rate: text[0] === 'G' ? counts.slice(6, 9) : undefined,
    temperature: counts.at(-1),
  };
}

/** What the codec makes of the line when it lies in memory that still holds other lines. */
function readAsBytes(line: string, before: string): unknown {
  const memory = bytesOf(before.padEnd(1000, before));
  memory.set(bytesOf(line));
  const decoded = decodeBytes(memory, line.length);
  return decoded.kind === 'bad' ? { kind: 'bad', bad: decoded.bad } : decoded;
}

const isOther = (line: string): boolean => readAsText(line) === 'other';

const damaged = fc
  .tuple(fc.nat(), fc.nat())
  .map(([at, start]) => damagedLine(at, new Random(start)))
  .map(({ line, damaged: text }) => ({ line, text }));

describe('lines as bytes', () => {
  test('every vector that is a sample or not believed is read as the protocol words it', () => {
    const lines = [...vectorsOf('line').map(([, line]) => line), ...vectorsOf('bad').map(([, line]) => line)];
    let compared = 0;
    for (const line of lines.filter((one) => !isOther(one))) {
      expect(readAsBytes(line, 'S 1 2 3 *0000'), JSON.stringify(line)).toEqual(readAsText(line));
      compared += 1;
    }
    expect(compared).toBeGreaterThan(40);
  });

  test('so is every line at random, sound, damaged, or sealed over damage', () => {
    let samples = 0;
    fc.assert(
      fc.property(damaged, fc.constantFrom('', '\r', '\r\n'), ({ line, text }, lineEnd) => {
        const crc = crcBitByBit(text.slice(0, -6)).toString(16).toUpperCase().padStart(4, '0');
        for (const one of [line, text, `${text.slice(0, -6)} *${crc}`]) {
          const expected = readAsText(one + lineEnd);
          if (expected === 'other') continue;
          if ((expected as { kind: string }).kind === 'sample') samples += 1;
          expect(readAsBytes(one + lineEnd, line), JSON.stringify(one)).toEqual(expected);
          expect(decodeLine(one + lineEnd)).toEqual(decodeBytes(bytesOf(one + lineEnd), one.length + lineEnd.length));
        }
      }),
      { numRuns: 4000, seed },
    );
    expect(samples).toBeGreaterThan(4000);
  });

  test('fields at the edges of their ranges, of every length and spelling', () => {
    const digits = fc.string({ unit: fc.constantFrom(...'0123456789'), minLength: 0, maxLength: 13 });
    const edge = fc.constantFrom(
      '0',
      '-0',
      '00',
      '65535',
      '65536',
      '4294967295',
      '4294967296',
      '32767',
      '32768',
      '-32768',
    );
    const field = fc.oneof(
      { weight: 6, arbitrary: fc.integer({ min: 0, max: 32767 }).map(String) },
      { weight: 1, arbitrary: edge },
      { weight: 1, arbitrary: fc.tuple(fc.constantFrom('', '-', '+', ' '), digits).map((parts) => parts.join('')) },
    );
    fc.assert(
      fc.property(fc.constantFrom('S', 'G'), fc.array(field, { minLength: 7, maxLength: 13 }), (letter, fields) => {
        const body = `${letter} ${fields.join(' ')}`;
        const line = `${body} *${crcBitByBit(body).toString(16).toUpperCase().padStart(4, '0')}`;
        expect(readAsBytes(line, '9'.repeat(300)), line).toEqual(readAsText(line));
      }),
      { numRuns: 4000, seed },
    );
  });

  test('are cut as the stock readline parser cuts them, whatever the damage and the chunks', async () => {
    const stream = fc.array(damaged, { minLength: 1, maxLength: 12 });
    await fc.assert(
      fc.asyncProperty(stream, fc.array(fc.integer({ min: 1, max: 150 }), { minLength: 1 }), async (lines, sizes) => {
        const bytes = Buffer.from(lines.map(({ text }) => `${text}\r\n`).join(''), 'latin1');
        const byStock: string[] = [];
        const stock = new ReadlineParser({ encoding: 'latin1' });
        stock.on('data', (line: string) => byStock.push(line));
        await new Promise((resolve) => setImmediate(resolve));
        const ours: string[] = [];
        const cutter = new CappedLines((line, length) => ours.push(textOf(line.subarray(0, length))));
        for (let at = 0, n = 0; at < bytes.length; n += 1) {
          const chunk = bytes.subarray(at, at + sizes[n % sizes.length]);
          stock.write(chunk);
          cutter.push(chunk);
          at += chunk.length;
        }
        // of an empty line the stock parser says nothing
        expect(ours.filter((line) => line !== '')).toEqual(byStock);
      }),
      { numRuns: 300, seed },
    );
  });
});
