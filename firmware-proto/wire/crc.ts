/**
 * CRC-16/CCITT-FALSE (polynomial 0x1021, start 0xFFFF, not reflected, no final exclusive-or), the table-driven form of
 * Ross Williams, "A painless guide to CRC error detection algorithms" (1993). Check value for "123456789": 0x29B1.
 */
const table = Uint16Array.from({ length: 256 }, (_, byte) => {
  let crc = byte << 8;
  for (let bit = 0; bit < 8; bit += 1) crc = (crc & 0x8000) !== 0 ? (crc << 1) ^ 0x1021 : crc << 1;
  return crc & 0xffff;
});

export const crcStart = 0xffff;

/** The CRC after one more byte; of a character above 255 the low byte counts. */
export const crcStep = (crc: number, byte: number): number => ((crc << 8) & 0xff00) ^ table[((crc >> 8) ^ byte) & 0xff];

/** CRC of the first `length` characters of `text`, taken as bytes (latin1). */
export function crc16(text: string, length = text.length): number {
  let crc = crcStart;
  for (let i = 0; i < length; i += 1) crc = crcStep(crc, text.charCodeAt(i));
  return crc;
}

export const crcHex = (crc: number): string => crc.toString(16).toUpperCase().padStart(4, '0');
