const blockBytes = 512;
const magics = [0x0a324655, 0x9e5d5157] as const;
const magicEnd = 0x0ab16f30;
const familyPresent = 0x2000;

/**
 * Reads an image in the USB Flashing Format (github.com/microsoft/uf2) as the boot ROM of a board of this family takes it: `size`
 * bytes from `start` on, FF where there is none. Throws an Error where a block is not sound.
 */
export function parseUf2(file: Uint8Array, family: number, start: number, size: number): Uint8Array {
  if (file.length === 0 || file.length % blockBytes !== 0) throw new Error('not whole blocks of 512 bytes');
  const memory = new Uint8Array(size).fill(0xff);
  const count = file.length / blockBytes;
  for (let index = 0; index < count; index += 1) {
    const block = Buffer.from(file.buffer, file.byteOffset + index * blockBytes, blockBytes);
    const word = (at: number): number => block.readUInt32LE(4 * at);
    const fault = (what: string): Error => new Error(`block ${index + 1}: ${what}`);
    if (word(0) !== magics[0] || word(1) !== magics[1] || block.readUInt32LE(508) !== magicEnd)
      throw fault('not a block of this format');
    if (!(word(2) & familyPresent) || word(7) !== family) throw fault('for another family of processors');
    if (word(5) !== index || word(6) !== count) throw fault('out of order');
    if (word(4) !== 256 || word(3) % 256 !== 0) throw fault('not a whole page');
    const at = word(3) - start;
    if (at < 0 || at + 256 > size) throw fault('outside the memory');
    memory.set(block.subarray(32, 32 + 256), at);
  }
  return memory;
}
