import { asTyped } from './words/asTyped.ts';
import { wrapped } from './words/wrapForTerminal.ts';

/** stdout carries results only, stderr everything else. */
export function printJson(result: Record<string, unknown>): void {
  process.stdout.write(`${JSON.stringify({ schema: 1, ...result })}\n`);
}

/** Without bytes that would command the terminal. */
export const printable = (text: string): string => text.replace(/(?!\n)\p{Cc}/gu, '?');

export function printResult(text: string): void {
  process.stdout.write(`${asTyped(text)}\n`);
}

export function say(text: string): void {
  process.stderr.write(`${wrapped(asTyped(text), process.stderr)}\n`);
}
