import { readdirSync, readFileSync } from 'node:fs';
import { join, relative } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { drawn } from '../words/draw.ts';
import { faultsOf } from '../words/rules.ts';
import { allSentences, sentencesOf } from '../words/sentences.ts';
import { examplesOf, registered, typedFault, typedIn } from '../words/typed.ts';

const root = fileURLToPath(new URL('../../', import.meta.url));
const all = allSentences();
const texts = (source: string): string[] => sentencesOf('host/steps/made.ts', source).map(({ text }) => text);

describe('the list of all that a person can read', () => {
  it.each([
    ['host', 'There is no command "{word}".'],
    ['host/capture', '{path} is empty.'],
    ['host/commands', 'Live needles: how far the polar axis is off in altitude and azimuth, with the uncertainty.'],
    ['host/link', 'No board found. Plug one in; charge-only cables do not work.'],
    ['host/live', 'The {axis} needle did not move.'],
    ['host/night', 'Nothing was measured this night.'],
    ['host/practice', 'Take the hands off the mount.'],
    ['host/site', 'it does not read as an angle.'],
    ['host/sky', 'No listed star is visible from here now.'],
    ['host/steps', 'Lay the board down with its arrow Z pointing up.'],
    ['host/store', 'Close every other Lodepole, then try again.'],
    ['host/terminal', 'Wait for the needles first.'],
    ['host/web', 'This device is not paired.'],
    ['host/web/page', 'Brightness'],
    ['host/web/page', 'Pair this device'],
    ['host/web/sheet', 'The tumble calibrates accelerometer and magnetometer together.'],
    ['host/words', 'The magnetic azimuth is not for navigation.'],
    ['calibration/tumble', 'Turn the board through more attitudes.'],
    ['firmware-proto/virtual', 'tumbling the board in the hand, away from iron'],
    ['firmware-proto/guide', '# Wiring'],
    ['README.md', '## No board yet'],
  ])('holds what %s says: %s', (room, said) => {
    expect(all.filter(({ text }) => text === said).map((sentence) => sentence.room)).toContain(room);
  });

  it('shows a sentence whole, with what is filled in by name and what may stand there', () => {
    expect(texts("say(`Board ${hello.boardId} is ${isOn ? 'on' : 'off'} since ${deg(2 * sigma)} ago.`)")).toEqual([
      'Board {boardId} is (on|off) since {deg} ago.',
    ]);
    expect(texts("say('Take the board ' + 'off its clip.')")).toEqual(['Take the board off its clip.']);
    expect(texts('say(`Tilt ${sized(`${side} higher in the east`)}.`)')).toEqual([
      'Tilt {sized}.',
      '{side} higher in the east',
    ]);
  });

  it('leaves out what is for the program alone', () => {
    expect(texts("if (state === 'far too high') throw new RangeError('no such state here');")).toEqual([]);
    expect(texts("import { a } from './a b.ts'; type Way = 'far west' | 'far east'; // a note here")).toEqual([]);
  });

  it('draws by a seed, each sentence once', () => {
    const numbers = Array.from({ length: 400 }, (_, index) => index);
    const taken = drawn(numbers, 300, 7);
    expect(new Set(taken).size).toBe(300);
    expect(drawn(numbers, 300, 7)).toEqual(taken);
    expect(drawn(numbers, 300, 8)).not.toEqual(taken);
    expect(drawn(numbers, 900, 7)).toHaveLength(400);
  });
});

describe('a words file', () => {
  const rooms = ['host/commands', 'host/steps', 'host/web/sheet'];
  /** In the steps a check's reason and next action stand beside its figure. */
  const whole = rooms.filter((room) => room !== 'host/steps');
  /** The help of a command stands beside its options. */
  const isHelp = (file: string): boolean =>
    /Options\.ts$/.test(file) || readFileSync(join(root, file), 'utf8').includes('export function register(');
  const small = ['host/live', 'host/night', 'host/practice', 'host/terminal'];
  const files = [
    ...small.map((room) => ({ room, file: join(room, 'words.ts') })),
    ...rooms.flatMap((room) =>
      readdirSync(join(root, room, 'words')).map((file) => ({ room, file: join(room, 'words', file) })),
    ),
  ];

  it.each(whole)('holds all that %s says, but for what a refusal says beside its check', (room) => {
    const astray = all.filter((sentence) => sentence.room === room && !sentence.file.startsWith(`${room}/words/`));
    const told = astray.filter(
      ({ file, isRefusal, text }) => !isRefusal && / .* .* .*[.?]$/.test(text) && !isHelp(file),
    );
    expect(told.map(({ file, line, text }) => `${file}:${line} ${text}`)).toEqual([]);
  });

  it.each(files)('$file holds nothing that is not said', ({ room, file }) => {
    const sources = readdirSync(join(root, room))
      .filter((name) => name.endsWith('.ts'))
      .map((name) => readFileSync(join(root, room, name), 'utf8'))
      .filter((text) => text.includes(`from './${relative(room, file)}'`))
      .join('\n');
    const keys = [...readFileSync(join(root, file), 'utf8').matchAll(/^  (\w+):/gm)].map(([, key]) => key!);
    expect(keys.length).toBeGreaterThan(0);
    expect(keys.filter((key) => !new RegExp(`\\btexts\\.${key}\\b`).test(sources))).toEqual([]);
  });
});

describe('every sentence', () => {
  it('keeps the rules that a machine can hold', () => {
    expect(all.length).toBeGreaterThan(2000);
    expect(faultsOf(all)).toEqual([]);
  });

  it.each([
    ['The board is being read.', 'is being'],
    ['Please wait.', 'please'],
    ['The play of the bolt.', 'backlash'],
    ['Iron near by.', 'nearby'],
    ['Tonight’s plan.', 'straight'],
    ['Take the the board.', 'twice'],
    [`Take ${'one more star and '.repeat(8)}end.`, '30 words'],
  ])('breaks a rule: %s', (text, rule) => {
    const faults = faultsOf([{ room: 'r', file: 'f', line: 1, text, isRefusal: false }]);
    expect(faults.map(({ says }) => says).join()).toContain(rule);
  });

  it('names only commands and options that there are', async () => {
    const commands = await registered();
    const typed = typedIn(all);
    expect(typed.length).toBeGreaterThan(100);
    const wrong = typed.map(({ where, typed: words }) => ({ where, fault: typedFault(words, commands) }));
    expect(wrong.filter(({ fault }) => fault !== undefined)).toEqual([]);
    expect(typedFault(['swing', '--form', 'a.csv'], commands)).toBe('swing has no --form');
    expect(typedFault(['swinge'], commands)).toBe('no command swinge');
  });
});

describe('the help', () => {
  it('of every command has examples that the command takes as they stand', async () => {
    const commands = await registered();
    expect(commands.size).toBeGreaterThan(20);
    const program = commands.get('watch')!.parent!.exitOverride();
    for (const [name, command] of commands) {
      if (name === 'complete') continue;
      const examples = examplesOf(command);
      expect(examples.length, name).toBeGreaterThan(0);
      for (const other of commands.values())
        other
          .exitOverride()
          .configureOutput({ writeErr: () => {} })
          .action(() => {});
      for (const words of examples)
        await expect(program.parseAsync(words, { from: 'user' }), `lodepole ${words.join(' ')}`).resolves.toBe(program);
    }
    await expect(program.parseAsync(['swing', '--form', 'a.csv'], { from: 'user' })).rejects.toThrow('--form');
    await expect(program.parseAsync(['watch', '--seconds', 'soon'], { from: 'user' })).rejects.toThrow('number');
  });
});
