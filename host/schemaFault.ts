import type { z } from 'zod';

/** What does not fit a schema, in words: the first fault, and where it is. */
export function schemaWords({ issues: [{ code, message, path }] }: z.ZodError): string {
  const at = path.length === 0 ? 'it' : path.map(String).join('.');
  if (code === 'custom') return message.startsWith('is ') ? `${at} ${message}` : message;
  if (message.endsWith('received undefined')) return `${at} is missing`;
  // what zod says of its own starts with a capital
  return `${at} is not valid${/^[a-z]/.test(message) ? `: ${message}` : ''}`;
}
