/** The wire between board and host, version 1 (WIRE.md): encode and decode, pure. */
export * from './wire/bytes.ts';
export * from './wire/crc.ts';
export * from './wire/decode.ts';
export * from './wire/encode.ts';
export * from './wire/lines.ts';
export * from './wire/orientation.ts';
