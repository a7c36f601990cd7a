import { bad, type Decoded } from './lines.ts';

const address = (text: string | undefined): number | undefined =>
  text !== undefined && /^[0-9A-F]{2}$/.test(text) ? Number.parseInt(text, 16) : undefined;

const truth = (text: string | undefined, yes: string, no: string): boolean | undefined =>
  text === yes ? true : text === no ? false : undefined;

/** Fields are `key=value`; keys and values that are not known are passed over. */
export function decodeParticulars(fields: readonly string[]): Decoded {
  const values = new Map<string, string>();
  for (const field of fields) {
    const [, key, value] = /^([a-z]{1,12})=([A-Za-z0-9._+-]{1,24})$/.exec(field) ?? [];
    if (key === undefined || values.has(key)) return bad('malformed', `particulars: "${field}" is not a new key=value`);
    values.set(key, value);
  }
  return {
    kind: 'particulars',
    processor: values.get('cpu'),
    light: truth(values.get('light'), 'on', 'off'),
    isKept: truth(values.get('kept'), 'yes', 'no'),
    accelerometerAt: address(values.get('accat')),
    magnetometerAt: address(values.get('magat')),
  };
}
