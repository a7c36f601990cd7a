import type { Vector3 } from '../../calibration/vector.ts';
import type { Orientation } from './orientation.ts';

/** Protocol version that this codec speaks. */
export const protocolVersion = 1;
/** Longest line from the board in bytes, line end included. */
export const maxLineBytes = 240;
export const baudRate = 115200;
export const sampleRatesHz = [10, 20, 25, 50, 100] as const;

export interface Chip {
  name: string;
  /** Identity register as read; 0 when the chip does not answer. */
  id: number;
  orientation: Orientation;
}

/** What a board says of itself. */
export interface Hello {
  kind: 'hello';
  protocol: typeof protocolVersion;
  firmware: string;
  /** Eight upper-case hexadecimal digits. */
  boardId: string;
  accelerometer: Chip & { gPerCount: number };
  magnetometer: Chip & { ntPerCount: number };
  gyro?: Chip & { dpsPerCount: number };
  temperature: { cPerCount: number; cAtZero: number };
  sampleHz: number;
}

/** One sample as the chips gave it: counts in the chips' own axes. */
export interface WireSample {
  kind: 'sample';
  /** Unsigned 16 bit, rolls over. */
  seq: number;
  /** The board's clock at the sampling instant, unsigned 32 bit, rolls over. */
  micros: number;
  accel: Vector3;
  field: Vector3;
  rate?: Vector3;
  temperature: number;
}

export interface BoardEvent {
  kind: 'event';
  code: string;
  /** Times since start-up. */
  count: number;
}

export interface SelfTestRow {
  kind: 'test';
  name: string;
  passed: boolean;
  value: number;
  low: number;
  high: number;
}

export interface Acknowledged {
  kind: 'acknowledged';
  request: string;
}

export interface Refused {
  kind: 'refused';
  request: string;
  reason: string;
}

/** What a board says of itself beside its hello. */
export interface Particulars {
  kind: 'particulars';
  /** The processor, and with it the image that fits; undefined where the board does not say. */
  processor?: string;
  /** The light is switched on. */
  light?: boolean;
  /** The settings outlive the supply. */
  isKept?: boolean;
  /** Address on the two-wire bus of what answered last as accelerometer and magnetometer; 0 when nothing did. */
  accelerometerAt?: number;
  magnetometerAt?: number;
}

export type BoardLine = Hello | WireSample | BoardEvent | SelfTestRow | Acknowledged | Refused;

/**
 * Why a line is not believed. `noise`: bytes that are not ASCII text. `foreign`: text that is not a line of this protocol.
 * `torn`: head or tail is missing. `badCrc`: whole, but altered. `malformed`: the CRC is right, the fields are not.
 */
type BadReason = 'noise' | 'foreign' | 'torn' | 'badCrc' | 'malformed' | 'overLong';

export interface BadLine {
  kind: 'bad';
  bad: BadReason;
  /** In words, for people. */
  what: string;
}

export const bad = (reason: BadReason, what: string): BadLine => ({ kind: 'bad', bad: reason, what });
export const badCrc = bad('badCrc', 'the CRC does not fit the line');

export type Decoded =
  | BoardLine
  | BadLine
  | Particulars
  /** A hello of a protocol version that this codec does not speak. */
  | { kind: 'otherProtocol'; protocol: number }
  /** A sound line of a kind that a newer board may send: passed over. */
  | { kind: 'unknown'; letter: string };

export type Request =
  | { request: 'hello' | 'selftest' | 'blink' | 'keep' }
  | { request: 'rate'; hz: number }
  | { request: 'accdir' | 'magdir'; orientation: Orientation }
  | { request: 'light'; isOn: boolean };
