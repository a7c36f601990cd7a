import { expect, it } from 'vitest';
import { asTyped } from '../../host/words/asTyped.ts';

it('a command is told as it is typed where the program was started', () => {
  const text = 'Next: lodepole swing\n  lodepole --virtual orchard, or "lodepole board"';
  expect(asTyped(text, 'start')).toBe(
    'Next: npm start -- swing\n  npm start -- --virtual orchard, or "npm start -- board"',
  );
  expect(asTyped(text, 'test')).toBe(text);
  expect(asTyped(text, undefined)).toBe(text);
});

it('neither the name of the program, nor of a folder, nor the head of a capture is a command', () => {
  const text = 'Lodepole failed. # lodepole capture 1? /home/ida/lodepole data, lodepole.';
  expect(asTyped('Lodepole failed: /home/ida/lodepole data, lodepole.', 'start')).toBe(
    'Lodepole failed: /home/ida/lodepole data, lodepole.',
  );
  expect(asTyped(text, 'install')).toBe(text);
});
