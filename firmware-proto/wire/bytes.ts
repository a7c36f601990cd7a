/** One byte a character (latin1), as the wire carries them; a character that is none of these becomes 0xFF, which no sound line holds. */
export function bytesOf(text: string): Uint8Array {
  const bytes = new Uint8Array(text.length);
  for (let i = 0; i < text.length; i += 1) bytes[i] = Math.min(text.charCodeAt(i), 0xff);
  return bytes;
}

/** One character a byte (latin1). */
export const textOf = (bytes: Uint8Array): string => String.fromCharCode(...bytes);
