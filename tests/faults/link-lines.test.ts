import fc from 'fast-check';
import { ReadlineParser } from '@serialport/parser-readline';
import { beforeEach, describe, expect, test } from 'vitest';
import { bytesOf, decodeLine, textOf } from '../../firmware-proto/wire.ts';
import { CappedLines } from '../../host/link/cappedLines.ts';
import { testSample } from './link-farEnd.ts';

/** A cutter that keeps each line as text. */
const keeping = (lines: string[]): CappedLines =>
  new CappedLines((line, length) => lines.push(textOf(line.subarray(0, length))));

describe('lines from bytes', () => {
  let lines: string[];
  let cutter: CappedLines;
  beforeEach(() => {
    lines = [];
    cutter = keeping(lines);
  });

  test('any way of chopping the bytes gives the same lines, at once and one by one', () => {
    const text = Array.from({ length: 40 }, (_, n) => testSample(n)).join('');
    const whole = text.split('\n').slice(0, -1);
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 1, max: 400 }), { minLength: 1, maxLength: 60 }), (sizes) => {
        const seen: string[] = [];
        const one = keeping(seen);
        let at = 0;
        for (let i = 0; at < text.length; i += 1) {
          const size = sizes[i % sizes.length];
          one.push(bytesOf(text.slice(at, at + size)));
          at += size;
        }
        expect(seen).toEqual(whole);
        one.close();
      }),
      { numRuns: 60, seed: 20261125 },
    );
  });

  test('a line of 240 bytes with its end passes whole, one byte more is named over-long', () => {
    const longest = 'x'.repeat(238);
    cutter.push(bytesOf(`${longest}\r\n${longest}y\r\n${testSample(1)}`));
    expect(lines).toHaveLength(3);
    expect(lines[0]).toBe(`${longest}\r`);
    expect(decodeLine(lines[0])).toMatchObject({ bad: 'foreign' });
    expect(decodeLine(lines[1])).toMatchObject({ bad: 'overLong' });
    expect(decodeLine(lines[2]).kind).toBe('sample');
  });

  test('whatever the chunks, an over-long line is one over-long line and its neighbours are whole', () => {
    const text = `${testSample(1)}${'z'.repeat(5000)}\r\n${testSample(2)}${'q'.repeat(241)}\n${testSample(3)}`;
    for (const size of [1, 7, 64, 239, 240, 241, 1000, 10000]) {
      const seen: string[] = [];
      const one = keeping(seen);
      for (let at = 0; at < text.length; at += size) one.push(bytesOf(text.slice(at, at + size)));
      const kinds = seen
        .map((line) => decodeLine(line))
        .map((decoded) => ('bad' in decoded ? decoded.bad : decoded.kind));
      expect(kinds, `chunks of ${size}`).toEqual(['sample', 'overLong', 'sample', 'overLong', 'sample']);
      one.close();
    }
  });

  test('16 MB without a line end: the stock parser alone slows down with the square, the cap keeps it linear', () => {
    const chunk = new Uint8Array(4096).fill(0x55);
    const timeOf = (sink: { write(bytes: Uint8Array): void }, megabytes: number): number => {
      const start = performance.now();
      for (let n = 0; n < (megabytes * 1_048_576) / chunk.length; n += 1) sink.write(chunk);
      return performance.now() - start;
    };
    const capped = timeOf({ write: (bytes) => cutter.push(bytes) }, 16);
    const stock = timeOf(new ReadlineParser(), 2);
    // An eighth of the bytes take the stock parser longer than all of them take ours.
    expect(capped).toBeLessThan(stock);
    cutter.push(bytesOf(`\r\n${testSample(7)}`));
    expect(lines).toHaveLength(2);
    expect(decodeLine(lines[1]).kind).toBe('sample');
  });

  test('bytes above 127 stay one character each, so that the line after a broken sequence is whole', () => {
    const broken = new Uint8Array([0xe2, 0x82, 0x0a, 0xf0, 0x9f, 0x0a]);
    cutter.push(broken);
    cutter.push(bytesOf(testSample(3)));
    expect(lines.map((line) => line.length)).toEqual([2, 2, testSample(3).length - 1]);
    expect(decodeLine(lines[2]).kind).toBe('sample');
  });

  test('after closing nothing comes out any more, and a new cutter knows nothing of the old half line', () => {
    cutter.push(bytesOf(testSample(1).slice(0, 20)));
    cutter.close();
    const next: string[] = [];
    const fresh = keeping(next);
    fresh.push(bytesOf(testSample(2)));
    expect(lines).toEqual([]);
    expect(decodeLine(next[0]).kind).toBe('sample');
    fresh.close();
  });
});
