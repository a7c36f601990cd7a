import { readdirSync, readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { accelerometers, magnetometers } from '../../firmware-proto/virtual/chips/parts.ts';

const text = (path: string): string => readFileSync(new URL(`../../${path}`, import.meta.url), 'utf8');
const guide = text('firmware-proto/guide/chips.md');

/** Rows of the guide's tables, cell by cell. */
const rows = guide
  .split('\n')
  .filter((line) => line.startsWith('| '))
  .map((line) => line.slice(2, -2).split(' | '));

/** Cells of the table that begins with this column. */
function table(first: string): string[][] {
  const from = rows.findIndex(([cell]) => cell === first);
  const after = rows.slice(from + 2);
  const width = rows[from].length;
  const end = after.findIndex((row, index) => row.length !== width || after[index + 1]?.[0] === '---');
  return end < 0 ? after : after.slice(0, end);
}

test('the tables of chips name them in the order in which the board looks for them', () => {
  const named = (first: string, known: readonly string[]): string[] =>
    table(first)
      .flatMap(([cell]) => cell.replace(/ \(.*/, '').split(', '))
      .filter((name) => known.includes(name));
  for (const [first, makes] of [['accelerometer', accelerometers], ['magnetometer', magnetometers]] as const)
    expect(named(first, Object.keys(makes))).toEqual(Object.keys(makes)); // prettier-ignore
});

/** What a bench printed last. */
const kept = (bench: string): string => text('tests/bench/FIGURES.md').split(`\n## ${bench}\n`)[1].split('\n## ')[0];

test('what a small computer needs is what the bench printed last', () => {
  const page = text('firmware-proto/guide/small-computer.md');
  const printed = [...kept('host').matchAll(/^ +(\d+) +(\d+) +(\d+) +([\d.]+) +[\d.]+$/gm)];
  expect(printed.length).toBe(3);
  for (const [, ...cells] of printed) expect(page).toContain(`| ${cells.join(' | ')} |`);
  const start = /Its start took [\d.]+ s of processor time\./.exec(kept('host'))?.[0];
  expect(page).toContain(start);
});

test('what the tumble leaves of iron on the board is what the bench printed last', () => {
  const page = text('firmware-proto/guide/clip.md');
  const printed = kept('iron').split('\n').map((line) => line.trim().split(/ +/)); // prettier-ignore
  const cases = printed.filter((cells) => cells.length === 9 && /^\d+$/.test(cells[0]));
  expect(cases.length).toBe(7);
  for (const cells of cases) expect(page).toContain(`| ${cells.join(' | ')} |`);
  const atMost = /at most.* ([\d.]+)$/m.exec(kept('iron'))?.[1];
  expect(page).toContain(`up to ${Number(atMost).toFixed(1)} degrees`);
  const swings = [...kept('iron').matchAll(/^azimuth by a swing.* ([\d.]+)$/gm)].map(([, left]) => left);
  expect(swings.length).toBe(2);
  for (const left of swings) expect(page).toContain(`${left} degrees are left`);
});

test('what each pair of chips reaches is what the bench printed last', () => {
  const printed = kept('chips')
    .split('\n')
    .flatMap((line) => {
      const [chips, figures] = line.split(/ +atmega328p +/);
      if (figures === undefined) return [];
      const [, load, , , mg, nT, , , altitude, azimuth, , compass, sights] = figures.split(/ +/);
      return [[chips, load, mg, nT, altitude, azimuth, compass, sights]];
    });
  expect(printed.length).toBe(12);
  expect(table('chips')).toEqual(printed);
});

test('the pins of the drawings are those of the program', () => {
  const processor = (name: string): string => text(`firmware-proto/board/src/processors/${name}.cpp`);
  const [, sda, scl] = /sda = (\d+), scl = (\d+)/.exec(processor('rp2040')) ?? [];
  const pico = text('firmware-proto/pictures/wiring-pico.svg');
  // Raspberry Pi Pico datasheet, "Pinout": GP4 is pin 6, GP5 pin 7, GND pin 38, 3V3(OUT) pin 36.
  expect(pico).toContain(`GP${sda}, pin 6, to SDA`);
  expect(pico).toContain(`GP${scl}, pin 7, to SCL`);
  const at = (label: string, y: number): string => new RegExp(`x="(\\d+)" y="${y}">${label}<`).exec(pico)?.[1] ?? label;
  for (const [name, nameY, pin, pinY] of [
    ['GP4', 205, 'pin 6', 189],
    ['GP5', 205, 'pin 7', 189],
    ['GND', 105, 'pin 38', 121],
    ['3V3', 105, 'pin 36', 121],
  ] as const)
    expect(at(name, nameY)).toBe(at(pin, pinY));
  // ATmega328P datasheet, "Pin descriptions": PC4 is SDA, PC5 is SCL; A4 and A5 on the board.
  expect(text('firmware-proto/pictures/wiring-nano.svg')).toMatch(/A4 to SDA.*A5 to SCL/);
});

test('registers of a processor stand in one file a processor', () => {
  const folder = 'firmware-proto/board/src';
  const sources = (path: string): string[] =>
    readdirSync(new URL(`../../${path}`, import.meta.url)).filter((name) => /\.(cpp|h)$/.test(name));
  const named = /\bat\((0x|[A-Z])|<avr\/io\.h>|<avr\/interrupt\.h>|0x[45][0-9A-F]{7}\b/;
  const inFolder = (path: string): string[] => sources(path).filter((name) => named.test(text(`${path}/${name}`)));
  expect(inFolder(`${folder}/processors`)).toEqual(['atmega328p.cpp', 'nrf52833.cpp', 'rp2040.cpp']);
  for (const portable of [folder, `${folder}/chips`]) expect(inFolder(portable), portable).toEqual([]);
});
