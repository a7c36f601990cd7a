import { crc16 } from '../wire.ts';
import { eepromBytes } from './processor.ts';
import type { VirtualWorld } from './world.ts';

/** Number of the virtual board of a set-up, with the processor and without: FNV-1a of scene and seed. */
export function boardNumber({ scene, seed }: Pick<VirtualWorld, 'scene' | 'seed'>): number {
  let hash = 2166136261;
  for (const byte of Buffer.from(`${scene.name} ${seed}`)) hash = Math.imul(hash ^ byte, 16777619);
  return hash >>> 0;
}

/** EEPROM of a board that already has its number: little-endian at the very end, with its CRC, as `number.cpp` keeps it. */
export function eepromOf(world: Pick<VirtualWorld, 'scene' | 'seed'>): Uint8Array {
  const memory = Buffer.alloc(eepromBytes, 0xff);
  const at = eepromBytes - 6;
  memory.writeUInt32LE(boardNumber(world), at);
  memory.writeUInt16LE(crc16(memory.subarray(at, at + 4)), at + 4);
  return memory;
}
