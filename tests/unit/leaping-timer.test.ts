import { AVRTimer, avrInstruction, CPU, timer0Config, timer1Config } from 'avr8js';
import { assemble } from 'avr8js/dist/cjs/utils/assembler.js';
import { expect, test } from 'vitest';
import { leapingTimer } from '../../firmware-proto/virtual/leapingTimer.ts';

const recordFrom = 0x200;
const cycles = 60_000;

/** All that a program saw of its timer: what it stored, instruction by instruction, and when each flag came up. */
function seen(source: string, attach: (cpu: CPU) => void) {
  const { bytes, errors } = assemble(source);
  expect(errors).toEqual([]);
  const program = new Uint8Array(0x1000);
  program.set(bytes);
  const cpu = new CPU(new Uint16Array(program.buffer), 2048);
  attach(cpu);
  const flags: string[] = [];
  let last = -1;
  while (cpu.cycles < cycles) {
    avrInstruction(cpu);
    cpu.tick();
    const now = (cpu.data[timer1Config.TIFR] << 8) | cpu.data[timer0Config.TIFR];
    if (now !== last) flags.push(`${cpu.cycles} ${now}`);
    last = now;
  }
  return { flags, stored: [...cpu.data.subarray(recordFrom, recordFrom + 1024)] };
}

/** Stores count (low, high) and flags of timer 1 again and again, at uneven intervals, and clears the flags now and then. */
const record = `
    ldi r26, 0x00
    ldi r27, 0x02
  loop:
    lds r16, 0x84      ; TCNT1L
    lds r17, 0x85
    in r18, 0x16       ; TIFR1
    st X+, r16
    st X+, r17
    st X+, r18
    inc r20
    mov r21, r20
    andi r21, 0x07
    brne wait
    out 0x16, r18      ; clears
    in r19, 0x15       ; TIFR0
    out 0x15, r19
  wait:
    mov r21, r20
    ori r21, 0x21
  delay:
    dec r21
    brne delay
    cpi r20, 100
    brne go
    CHANGE
  go:
    cpi r27, 0x06
    brne loop
  end:
    rjmp end
`;
const sts = (address: number, value: number): string => `ldi r16, ${value}\n    sts ${address}, r16`;
const word = (address: number, value: number): string =>
  `${sts(address + 1, value >> 8)}\n    ${sts(address, value & 255)}`;
const [tccr1a, tccr1b, ocr1a, ocr1b, icr1, tcnt1] = [0x80, 0x81, 0x88, 0x8a, 0x86, 0x84];

test.each([
  ['clears on match, compare A above B', [sts(tccr1b, 0x0a), word(ocr1a, 999), word(ocr1b, 123)], word(ocr1a, 700)],
  ['is given its match before it runs, and a new count', [word(ocr1a, 5000), sts(tccr1b, 0x0a)], word(tcnt1, 4990)],
  ['runs over at the end, at another pace later', [word(ocr1b, 321), sts(tccr1b, 0x01)], sts(tccr1b, 0x02)],
  ['stops half-way', [word(ocr1a, 300), sts(tccr1b, 0x0a)], sts(tccr1b, 0x08)],
  ['makes pulses', [sts(tccr1a, 0x03), word(ocr1a, 600), sts(tccr1b, 0x19)], word(ocr1a, 200)],
  ['counts up and down', [word(icr1, 400), word(ocr1a, 150), sts(tccr1b, 0x11)], word(ocr1a, 50)],
  ['has 8 bits and two matches', [sts(0x47, 200), sts(0x48, 40), sts(0x45, 0x02)], sts(0x47, 90)],
])('a timer that %s shows what the one of avr8js shows', (_, settings, change) => {
  const source = `    ${settings.join('\n    ')}\n${record.replace('CHANGE', change)}`;
  const byOne = seen(source, (cpu) => [timer0Config, timer1Config].forEach((config) => new AVRTimer(cpu, config)));
  const byLeaps = seen(source, (cpu) => [timer0Config, timer1Config].forEach((config) => leapingTimer(cpu, config)));
  expect(byOne.flags.length).toBeGreaterThanOrEqual(3);
  expect(byLeaps).toEqual(byOne);
});
