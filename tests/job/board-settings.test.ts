import { describe, expect, test } from 'vitest';
import type { Decoded } from '../../firmware-proto/wire.ts';
import { only, runImage } from './board-run.ts';

/** The image with what it said last about itself. */
function told(options: Parameters<typeof runImage>[0] = {}) {
  const image = runImage(options);
  const about = () => {
    image.ask('hello');
    const lines: Decoded[] = [];
    for (let step = 0; step < 20 && only(lines, 'particulars').length === 0; step += 1) lines.push(...image.run(0.02));
    const hello = only(lines, 'hello')[0];
    const { light, isKept, processor } = only(lines, 'particulars')[0];
    return {
      number: hello.boardId,
      accelerometer: hello.accelerometer.orientation,
      magnetometer: hello.magnetometer.orientation,
      hz: hello.sampleHz,
      light,
      isKept,
      processor,
    };
  };
  return { ...image, about };
}

const first = ['accdir -Y+X+Z', 'magdir +Z+X+Y', 'rate 25', 'light off', 'keep'];
const afterFirst = { accelerometer: '-Y+X+Z', magnetometer: '+Z+X+Y', hz: 25, light: false, isKept: true };
const second = ['accdir +X-Y-Z', 'rate 50', 'light on', 'keep'];
const afterSecond = { accelerometer: '+X-Y-Z', magnetometer: '+Z+X+Y', hz: 50, light: true, isKept: true };
const asMade = { accelerometer: '+X+Y+Z', magnetometer: '+X+Y+Z', hz: 100, light: true, isKept: false };

describe('settings of the board', () => {
  test('hold at once, and over a restart only when they are kept', () => {
    const { ask, run, board, about } = told();
    run(0.1);
    const made = about();
    expect(made).toEqual({ ...asMade, number: made.number, processor: 'atmega328p' });
    for (const request of first.slice(0, -1)) ask(request);
    const answers = run(0.2);
    expect(only(answers, 'acknowledged').map(({ request }) => request)).toEqual(['accdir', 'magdir', 'rate', 'light']);
    expect(only(answers, 'hello').at(-1)).toMatchObject({ accelerometer: { orientation: '-Y+X+Z' } });
    expect(about()).toMatchObject({ ...afterFirst, isKept: false });
    board.restart('power');
    run(0.1);
    expect(about()).toEqual(made);
    for (const request of first) ask(request);
    expect(only(run(0.6), 'acknowledged').at(-1)).toEqual({ kind: 'acknowledged', request: 'keep' });
    board.restart('power');
    run(0.1);
    expect(about()).toEqual({ ...made, ...afterFirst });
  });

  test('a left-handed orientation is refused and changes nothing', () => {
    const { ask, run, about } = told();
    ask('accdir +Y+X+Z');
    ask('magdir -X+Y+Z');
    expect(only(run(0.1), 'refused')).toEqual([
      { kind: 'refused', request: 'accdir', reason: 'axes' },
      { kind: 'refused', request: 'magdir', reason: 'axes' },
    ]);
    expect(about()).toMatchObject(asMade);
  });

  test('keeping tells no fault, and the same settings again write nothing', () => {
    const { ask, run, board } = told();
    run(0.5);
    for (const request of first) ask(request);
    expect(only(run(1.5), 'event')).toEqual([]);
    let writes = 0;
    board.onEepromWrite(() => (writes += 1));
    ask('keep');
    expect(only(run(0.3), 'acknowledged').length).toBe(1);
    expect(writes).toBe(0);
    ask('rate 10');
    ask('keep');
    run(0.5);
    expect(writes).toBeGreaterThan(3);
  });

  test('whenever the supply fails, the board starts with the settings before or after, and keeps its number', () => {
    const { ask, run, board } = told();
    const cuts: Uint8Array[] = [];
    const numberS = run(0.2).length;
    expect(numberS).toBeGreaterThan(0);
    const keep = (requests: readonly string[]): void => {
      for (const request of requests) ask(request);
      run(0.8);
    };
    keep(first);
    board.onEepromWrite(() => cuts.push(Uint8Array.from(board.eeprom)));
    keep(second);
    cuts.push(Uint8Array.from(board.eeprom));
    keep(first);
    const { number } = told({ eeprom: board.eeprom }).about();
    expect(cuts.length).toBeGreaterThan(30);
    const found = cuts.map((eeprom) => told({ eeprom, seed: 77 }).about());
    const isSecond = found.map(({ hz }) => hz === afterSecond.hz);
    for (const [index, settings] of found.entries())
      expect(settings).toMatchObject({ ...(isSecond[index] ? afterSecond : afterFirst), number });
    // One change from the first to the second, and one back at the very end.
    const changes = isSecond.slice(1).filter((is, index) => is !== isSecond[index]).length;
    expect(isSecond[0]).toBe(false);
    expect(changes).toBe(1);
    expect(told({ eeprom: board.eeprom }).about()).toMatchObject(afterFirst);
  });

  test('a supply that fails while the first number is made leaves a board with a number', () => {
    const { run, board } = told();
    const cuts: Uint8Array[] = [];
    board.onEepromWrite(() => cuts.push(Uint8Array.from(board.eeprom)));
    run(0.2);
    expect(cuts.length).toBeGreaterThan(5);
    for (const eeprom of cuts) {
      const { about, board: again } = told({ eeprom, seed: 5 });
      const { number } = about();
      again.restart('power');
      expect(told({ eeprom: again.eeprom, seed: 6 }).about().number).toBe(number);
    }
  });
});

describe('the light', () => {
  /** On and off in steps of ten milliseconds, as text. */
  const watch = (image: ReturnType<typeof told>, seconds: number): string => {
    let text = '';
    for (let step = 0; step < seconds * 100; step += 1) {
      image.run(0.01);
      text += image.board.lightIsOn ? '*' : '.';
    }
    return text;
  };
  const flashes = (text: string): number => text.split(/\.+/).filter((part) => part !== '').length;

  test('tells looking, streaming and trouble apart, is dim, and can be switched off', () => {
    const image = told();
    image.run(0.5);
    const looking = watch(image, 2);
    image.ask('hello');
    image.run(0.1);
    const streaming = watch(image, 2);
    image.board.magnetometer.silent = true;
    image.run(1.2);
    const trouble = watch(image, 2);
    expect([looking, streaming, trouble].map(flashes)).toEqual([2, 1, 10]);
    for (const text of [looking, streaming]) expect(text.replaceAll('.', '').length).toBeLessThan(0.03 * text.length);
    image.ask('light off');
    image.run(0.1);
    expect(watch(image, 2)).not.toContain('*');
  });

  test('blinks for five seconds when it is asked to, also when it is switched off', () => {
    const image = told();
    image.run(0.1);
    image.ask('light off');
    image.ask('blink');
    image.run(0.1);
    const blinking = watch(image, 6);
    expect(flashes(blinking)).toBeGreaterThanOrEqual(5);
    expect(blinking.replaceAll('.', '').length).toBeGreaterThan(220);
    expect(blinking.slice(-80)).not.toContain('*');
  });
});
