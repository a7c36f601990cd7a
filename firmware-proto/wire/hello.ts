import { bad, protocolVersion, type Chip, type Decoded } from './lines.ts';
import { isOrientation, orientationFault } from './orientation.ts';

class HelloFault extends Error {}

/** Takes the fields of a hello apart, each with its own range. */
class HelloFields {
  private readonly values = new Map<string, string>();

  constructor(fields: readonly string[]) {
    for (const field of fields) {
      const at = field.indexOf('=');
      if (at < 1 || at === field.length - 1) throw new HelloFault(`"${field}" is not key=value`);
      const key = field.slice(0, at);
      if (this.values.has(key)) throw new HelloFault(`${key} is given twice`);
      this.values.set(key, field.slice(at + 1));
    }
  }

  has(key: string): boolean {
    return this.values.has(key);
  }

  text(key: string, shape: RegExp): string {
    const value = this.values.get(key);
    if (value === undefined) throw new HelloFault(`${key} is missing`);
    if (!shape.test(value)) throw new HelloFault(`${key}=${value} is not valid`);
    return value;
  }

  number(key: string, low: number, high: number): number {
    const value = Number(this.text(key, /^-?\d{1,9}(\.\d{1,12})?$/));
    if (value < low || value > high) throw new HelloFault(`${key}=${value} is outside ${low} to ${high}`);
    return value;
  }

  integer(key: string, low: number, high: number): number {
    this.text(key, /^(0|[1-9]\d{0,8})$/);
    return this.number(key, low, high);
  }

  chip(prefix: string): Chip {
    const orientation = this.text(`${prefix}dir`, /^.+$/);
    if (!isOrientation(orientation)) throw new HelloFault(`${prefix}dir=${orientationFault(orientation)}`);
    return {
      name: this.text(prefix, /^[A-Za-z0-9._-]{1,24}$/),
      id: Number.parseInt(this.text(`${prefix}id`, /^[0-9A-F]{2,4}$/), 16),
      orientation,
    };
  }
}

/** Fields are `key=value`; keys that are not known are passed over, missing or unsound ones are named. */
export function decodeHello(fields: readonly string[]): Decoded {
  try {
    const hello = new HelloFields(fields);
    const protocol = hello.integer('proto', 0, 65535);
    if (protocol !== protocolVersion) return { kind: 'otherProtocol', protocol };
    return {
      kind: 'hello',
      protocol,
      firmware: hello.text('fw', /^[A-Za-z0-9.+-]{1,24}$/),
      boardId: hello.text('board', /^[0-9A-F]{8}$/),
      accelerometer: { ...hello.chip('acc'), gPerCount: hello.number('accg', 1e-6, 0.1) },
      magnetometer: { ...hello.chip('mag'), ntPerCount: hello.number('magnt', 0.01, 10000) },
      ...(hello.has('gyr') && { gyro: { ...hello.chip('gyr'), dpsPerCount: hello.number('gyrdps', 1e-6, 10) } }),
      temperature: { cPerCount: hello.number('tempc', -10, 10), cAtZero: hello.number('tempat', -400, 400) },
      sampleHz: hello.integer('hz', 1, 1000),
    };
  } catch (error) {
    if (error instanceof HelloFault) return bad('malformed', `hello: ${error.message}`);
    throw error;
  }
}
