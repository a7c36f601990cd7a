import { EEPROMMemoryBackend } from 'avr8js';
import { assemble } from 'avr8js/dist/cjs/utils/assembler.js';
import { describe, expect, test } from 'vitest';
import { parseIntelHex } from '../../firmware-proto/virtual/intelHex.ts';
import { clockHz, Processor, type ResetCause } from '../../firmware-proto/virtual/processor.ts';
import type { TwoWireDevice } from '../../firmware-proto/virtual/twoWire.ts';

// Each of these programs runs into one thing that avr8js 0.21 does not do as the chip does (ATmega328P datasheet), and that
// firmware-proto/virtual puts right.

/** Remembers when it was spoken to. */
class Listener implements TwoWireDevice {
  readonly heard: { what: string; cycle: number }[] = [];
  processor: Processor | undefined;
  private note(what: string): void {
    this.heard.push({ what, cycle: (this.processor?.elapsedS ?? 0) * clockHz });
  }
  answersTo(address: number): boolean {
    return address === 0x19;
  }
  start(): void {
    this.note('start');
  }
  write(byte: number): boolean {
    this.note(`write ${byte}`);
    return true;
  }
  read(): number {
    this.note('read');
    return 0x5a;
  }
  stop(): void {
    this.note('stop');
  }
}

function processorWith(source: string, cause: ResetCause = 'power') {
  const { bytes, errors } = assemble(source);
  expect(errors).toEqual([]);
  const sent: number[] = [];
  const listener = new Listener();
  const processor = new Processor({
    program: bytes,
    cause,
    memory: new Uint8Array(2048),
    eeprom: new EEPROMMemoryBackend(1024),
    devices: [listener],
    analogNoise: () => 0,
    onByte: (byte) => sent.push(byte),
  });
  listener.processor = processor;
  /** Steps until so many bytes were sent. */
  const untilSent = (count: number): number[] => {
    for (let cycle = 0; sent.length < count; cycle += 100) {
      if (cycle > 200_000) throw new Error(`only ${sent.length} of ${count} bytes sent: ${sent.join(' ')}`);
      processor.runTo(processor.elapsedS + 100 / clockHz);
    }
    return sent;
  };
  return { processor, listener, sent, untilSent };
}

const twoWireStart = `
  ldi r16, 12
  sts 0xb8, r16      ; TWBR: SCL at 400 kHz, 40 cycles
  ldi r16, 0xa4      ; TWINT, TWSTA, TWEN
  sts 0xbc, r16
first:
  lds r17, 0xbc
  sbrs r17, 7
  rjmp first
  ldi r16, 0x32      ; address 0x19, write
  sts 0xbb, r16
  ldi r16, 0x84      ; TWINT, TWEN
  sts 0xbc, r16
second:
  lds r17, 0xbc
  sbrs r17, 7
  rjmp second
`;

describe('the USART', () => {
  test('its data-register-empty interrupt comes again after one that sent nothing', () => {
    const { untilSent } = processorWith(`
      jmp main
      _LOC 0x4c
      jmp empty
      _LOC 0x80
    main:
      ldi r16, 0x08     ; TXEN0
      sts 0xc1, r16
      ldi r17, 3
      sei
    again:
      ldi r16, 0x28     ; TXEN0, UDRIE0
      sts 0xc1, r16
      nop
      nop
      dec r17
      brne again
      sts 0xc6, r18
    end:
      rjmp end
    empty:
      inc r18
      ldi r19, 0x08
      sts 0xc1, r19
      reti
    `);
    expect(untilSent(1)).toEqual([3]);
  });

  test('loses no byte: sent before the receiver is on, faster than they are read, over writes to the control registers', () => {
    const { processor, untilSent } = processorWith(`
      ldi r17, 0
    boot:
      dec r17
      brne boot
      ldi r16, 0x18     ; RXEN0, TXEN0
      sts 0xc1, r16
    loop:
      ldi r17, 200
    delay:
      dec r17
      brne delay
      sts 0xc1, r16
      lds r18, 0xc0
      sts 0xc0, r18
      sts 0xc1, r16
    linger:
      dec r17
      brne linger
      lds r18, 0xc0
      sbrs r18, 7       ; RXC0
      rjmp loop
      lds r19, 0xc6
      sts 0xc6, r19
      rjmp loop
    `);
    const bytes = Array.from({ length: 100 }, (_, index) => index + 1);
    processor.serial.feed(Uint8Array.from(bytes));
    expect(untilSent(100)).toEqual(bytes);
  });
});

describe('after a reset', () => {
  test.each([
    ['power', 1],
    ['external', 2],
    ['brownout', 4],
    ['watchdog', 8],
  ] as const)('MCUSR tells %s', (cause, expected) => {
    expect(processorWith('in r16, 0x34\nsts 0xc6, r16\nend: rjmp end', cause).untilSent(1)).toEqual([expected]);
  });

  test('the stack starts at the end of 2048 bytes of memory', () => {
    const { untilSent } = processorWith('in r16, 0x3e\nsts 0xc6, r16\nin r16, 0x3d\nsts 0xc6, r16\nend: rjmp end');
    expect(untilSent(2)).toEqual([0x08, 0xff]);
  });

  test('TWINT is clear', () => {
    expect(processorWith('lds r16, 0xbc\nsts 0xc6, r16\nend: rjmp end').untilSent(1)).toEqual([0]);
  });
});

describe('the two-wire interface', () => {
  test('takes nine periods of SCL for a byte', () => {
    const { listener, untilSent } = processorWith(`${twoWireStart}
      ldi r16, 0x55
      sts 0xbb, r16
      ldi r16, 0x84
      sts 0xbc, r16
    third:
      lds r17, 0xbc
      sbrs r17, 7
      rjmp third
      lds r17, 0xb9
      sts 0xc6, r17
    end:
      rjmp end
    `);
    expect(untilSent(1)).toEqual([0x28]); // data sent, acknowledged
    const [start, write] = listener.heard;
    expect([start.what, write.what]).toEqual(['start', 'write 85']);
    expect(write.cycle - start.cycle).toBeGreaterThanOrEqual(9 * 40);
    expect(write.cycle - start.cycle).toBeLessThan(9 * 40 + 40);
  });

  test('TWSTA together with TWSTO is a STOP and then a START', () => {
    const { listener, untilSent } = processorWith(`${twoWireStart}
      ldi r16, 0xb4      ; TWINT, TWSTA, TWSTO, TWEN
      sts 0xbc, r16
    third:
      lds r17, 0xbc
      sbrs r17, 7
      rjmp third
      lds r17, 0xb9
      sts 0xc6, r17
    end:
      rjmp end
    `);
    expect(untilSent(1)).toEqual([0x08]); // a START, not a repeated one (0x10)
    expect(listener.heard.map(({ what }) => what)).toEqual(['start', 'stop']);
  });

  test('a STOP does not set TWINT', () => {
    const { untilSent } = processorWith(`${twoWireStart}
      ldi r16, 0x94      ; TWINT, TWSTO, TWEN
      sts 0xbc, r16
    third:
      lds r17, 0xbc
      sbrc r17, 4
      rjmp third
      sts 0xc6, r17
    end:
      rjmp end
    `);
    expect(untilSent(1)).toEqual([0x04]);
  });

  test('TWINT stays until a one is written to it, not until its interrupt is entered', () => {
    const { untilSent } = processorWith(`
      jmp main
      _LOC 0x60
      jmp interrupt
      _LOC 0x80
    main:
      sei
      ldi r16, 0xa5      ; TWINT, TWSTA, TWEN, TWIE
      sts 0xbc, r16
    end:
      rjmp end
    interrupt:
      inc r18
      cpi r18, 3
      brne leave
      sts 0xc6, r18
      ldi r16, 0
      sts 0xbc, r16
    leave:
      reti
    `);
    expect(untilSent(1)).toEqual([3]);
  });

  test('a transfer that hangs is over when TWEN is cleared', () => {
    const { processor, sent, untilSent } = processorWith(`
      ldi r16, 0xa4
      sts 0xbc, r16
      ldi r17, 0
    wait:
      dec r17
      brne wait
      lds r17, 0xbc
      sts 0xc6, r17
      ldi r16, 0
      sts 0xbc, r16
      ldi r17, 0
    pause:
      dec r17
      brne pause
      ldi r16, 0xa4
      sts 0xbc, r16
    again:
      lds r17, 0xbc
      sbrs r17, 7
      rjmp again
      lds r17, 0xb9
      sts 0xc6, r17
    end:
      rjmp end
    `);
    processor.twoWire.holdSda();
    untilSent(1);
    expect(sent[0] & 0x80).toBe(0);
    processor.twoWire.releaseSda();
    expect(untilSent(2)[1]).toBe(0x08);
  });
});

test.each([
  ['SEI', 'sei'],
  ['RETI', 'call back'],
])('the instruction after %s runs before an interrupt that waits', (_, instruction) => {
  const { untilSent } = processorWith(`
    jmp main
    _LOC 0x4c
    jmp empty
    _LOC 0x80
  main:
    ldi r16, 0x28        ; TXEN0, UDRIE0: the interrupt waits
    sts 0xc1, r16
    ldi r18, 1
    nop
    ${instruction}
    ldi r18, 2
  end:
    rjmp end
  back:
    reti
  empty:
    sts 0xc6, r18
    ldi r16, 0
    sts 0xc1, r16
    reti
  `);
  expect(untilSent(1)).toEqual([2]);
});

test('sleep ends with an interrupt, and costs nothing but the clock', () => {
  const { processor, untilSent } = processorWith(`
    jmp main
    _LOC 0x40
    jmp overflow
    _LOC 0x80
  main:
    ldi r16, 0x03        ; Timer 0, clock / 64
    out 0x25, r16
    ldi r16, 0x01        ; TOIE0
    sts 0x6e, r16
    ldi r16, 0x01        ; SE
    out 0x33, r16
    sei
  loop:
    sleep
    rjmp loop
  overflow:
    inc r18
    sts 0xc6, r18
    reti
  `);
  expect(untilSent(5)).toEqual([1, 2, 3, 4, 5]);
  expect(processor.elapsedS * clockHz).toBeGreaterThan(5 * 256 * 64);
  expect(processor.elapsedS * clockHz).toBeLessThan(5 * 256 * 64 + 300);
  expect(processor.awakeS * clockHz).toBeLessThan(200);
});

describe('an image in Intel HEX', () => {
  // Records from Intel's specification (1988) as quoted in many manuals: from memory.
  const record = ':0300300002337A1E';

  test('is read to its addresses', () => {
    const bytes = parseIntelHex(`${record}\r\n:00000001FF\r\n`, 64);
    expect([...bytes.subarray(0x2f, 0x34)]).toEqual([0xff, 0x02, 0x33, 0x7a, 0xff]);
  });

  test.each([
    ['checksum', ':0300300002337A1F\n:00000001FF', /line 1.*checksum/],
    ['length', ':0400300002337A1E\n:00000001FF', /line 1.*length/],
    ['text', 'hello', /line 1: not a record/],
    ['end', record, /end record is missing/],
    ['memory', ':0300400002337A0E\n:00000001FF', /beyond the end/],
    ['type', ':020000021000EC\n:00000001FF', /unknown type 2/],
  ])('with a wrong %s is refused', (_, text, message) => {
    expect(() => parseIntelHex(text, 64)).toThrow(message);
  });
});
