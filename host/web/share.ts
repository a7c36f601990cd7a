import { networkInterfaces } from 'node:os';
import qrcode from 'qrcode';
import { sharedName } from './hostName.ts';

/** IPv4 addresses of this machine on its local networks. */
export const sharedAddresses = (): string[] =>
  Object.values(networkInterfaces())
    .flatMap((addresses) => addresses ?? [])
    .filter(({ family, internal }) => family === 'IPv4' && !internal)
    .map(({ address }) => address);

/** A code for one more device: in words, and as a QR code that holds address and code. */
export interface CodeShown {
  words: string;
  picture: string;
}

/** Colours of the QR code: as red as the rest in the dark, black on white by day. */
const whiteGround = /\u001b\[47m/g;
const whiteInk = /\u001b\[37m/g;

export async function codeShown(address: string, port: number, code: string, look: 'dark' | 'day'): Promise<CodeShown> {
  const url = `http://${address}:${port}/pair`;
  const picture = await qrcode.toString(`${url}#${code}`, { type: 'terminal', small: true, errorCorrectionLevel: 'L' });
  return {
    words: `For one more device: open ${url} and enter ${code}. The code pairs one device. If this address changes, try http://${sharedName}:${port}/`,
    picture: look === 'day' ? picture : picture.replace(whiteGround, '\u001b[41m').replace(whiteInk, '\u001b[31m'),
  };
}
