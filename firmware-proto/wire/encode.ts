import { bytesOf } from './bytes.ts';
import { crc16, crcHex } from './crc.ts';
import type {
  Acknowledged,
  BoardEvent,
  BoardLine,
  Chip,
  Hello,
  Refused,
  Request,
  SelfTestRow,
  WireSample,
} from './lines.ts';

/** `KIND FIELD ...` with its CRC and line end. */
export const sealLine = (body: string): string => `${body} *${crcHex(crc16(bytesOf(body)))}\r\n`;

const chip = (prefix: string, unit: string, { name, id, orientation }: Chip, perCount: number): string =>
  `${prefix}=${name} ${prefix}id=${id.toString(16).toUpperCase().padStart(2, '0')} ${prefix}dir=${orientation} ${prefix}${unit}=${perCount}`;

export function encodeHello(hello: Omit<Hello, 'kind'>): string {
  const { accelerometer, magnetometer, gyro, temperature } = hello;
  const parts = [
    `H proto=${hello.protocol} fw=${hello.firmware} board=${hello.boardId}`,
    chip('acc', 'g', accelerometer, accelerometer.gPerCount),
    chip('mag', 'nt', magnetometer, magnetometer.ntPerCount),
    ...(gyro === undefined ? [] : [chip('gyr', 'dps', gyro, gyro.dpsPerCount)]),
    `tempc=${temperature.cPerCount} tempat=${temperature.cAtZero} hz=${hello.sampleHz}`,
  ];
  return sealLine(parts.join(' '));
}

export function encodeSample({ seq, micros, accel, field, rate, temperature }: Omit<WireSample, 'kind'>): string {
  const counts = rate === undefined ? [...accel, ...field] : [...accel, ...field, ...rate];
  return sealLine(`${rate === undefined ? 'S' : 'G'} ${seq} ${micros} ${counts.join(' ')} ${temperature}`);
}

export const encodeEvent = ({ code, count }: Omit<BoardEvent, 'kind'>): string => sealLine(`E ${code} ${count}`);
export const encodeSelfTestRow = ({ name, passed, value, low, high }: Omit<SelfTestRow, 'kind'>): string =>
  sealLine(`T ${name} ${passed ? 'pass' : 'fail'} ${value} ${low} ${high}`);
export const encodeAcknowledged = ({ request }: Omit<Acknowledged, 'kind'>): string => sealLine(`A ${request}`);
export const encodeRefused = ({ request, reason }: Omit<Refused, 'kind'>): string => sealLine(`N ${request} ${reason}`);

/** A whole line, CR LF included, as a board would send it. */
export function encodeLine(line: BoardLine): string {
  switch (line.kind) {
    case 'hello':
      return encodeHello(line);
    case 'sample':
      return encodeSample(line);
    case 'event':
      return encodeEvent(line);
    case 'test':
      return encodeSelfTestRow(line);
    case 'acknowledged':
      return encodeAcknowledged(line);
    case 'refused':
      return encodeRefused(line);
  }
}

export function encodeRequest(request: Request): string {
  switch (request.request) {
    case 'rate':
      return `rate ${request.hz}\n`;
    case 'accdir':
    case 'magdir':
      return `${request.request} ${request.orientation}\n`;
    case 'light':
      return `light ${request.isOn ? 'on' : 'off'}\n`;
    default:
      return `${request.request}\n`;
  }
}
