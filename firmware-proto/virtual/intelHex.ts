/** Reads an Intel HEX file ("Hexadecimal Object File Format Specification", Intel 1988): data, start address (which is passed over) and end records, up to 64 kB. */
export function parseIntelHex(text: string, sizeBytes: number): Uint8Array {
  const bytes = new Uint8Array(sizeBytes).fill(0xff);
  const lines = text.split(/\r?\n/).filter((line) => line !== '');
  for (const [index, line] of lines.entries()) {
    const fail = (what: string): never => {
      throw new Error(`image, line ${index + 1}: ${what}; build it again with node firmware-proto/build.mjs`);
    };
    if (!/^:([0-9A-Fa-f]{2}){5,}$/.test(line)) fail('not a record of Intel HEX');
    const record = Uint8Array.from(line.slice(1).match(/../g) ?? [], (pair) => Number.parseInt(pair, 16));
    if (record.length !== record[0] + 5) fail('its length is wrong');
    if (record.reduce((sum, byte) => (sum + byte) & 0xff, 0) !== 0) fail('its checksum is wrong');
    const address = (record[1] << 8) | record[2];
    if (record[3] === 1) return bytes;
    if (record[3] === 3 || record[3] === 5) continue;
    if (record[3] !== 0) fail(`unknown type ${record[3]}`);
    if (address + record[0] > sizeBytes) fail('beyond the end of the memory');
    bytes.set(record.subarray(4, 4 + record[0]), address);
  }
  throw new Error('image: the end record is missing; build it again with node firmware-proto/build.mjs');
}
