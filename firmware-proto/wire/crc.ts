/**
 * CRC-16/CCITT-FALSE (polynomial 0x1021, start 0xFFFF, not reflected, no final exclusive-or), the table-driven form of
 * Ross Williams, "A painless guide to CRC error detection algorithms" (1993). Check value for "123456789": 0x29B1.
 */
const table = Uint16Array.from({ length: 256 }, (_, byte) => {
  let crc = byte << 8;
  for (let bit = 0; bit < 8; bit += 1) crc = (crc & 0x8000) !== 0 ? (crc << 1) ^ 0x1021 : crc << 1;
  return crc & 0xffff;
});
/** The same for a byte that one more byte follows, so that two bytes need one step ("slicing", Kounavis and Berry 2005). */
const tableBefore = table.map((crc) => ((crc << 8) & 0xff00) ^ table[crc >> 8]);

/** CRC of the first `length` bytes. */
export function crc16(bytes: Uint8Array, length = bytes.length): number {
  let crc = 0xffff;
  let i = 0;
  for (; i + 1 < length; i += 2) crc = tableBefore[(crc >> 8) ^ bytes[i]] ^ table[(crc & 0xff) ^ bytes[i + 1]];
  if (i < length) crc = ((crc << 8) & 0xff00) ^ table[(crc >> 8) ^ bytes[i]];
  return crc;
}

export const crcHex = (crc: number): string => crc.toString(16).toUpperCase().padStart(4, '0');
