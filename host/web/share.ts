import { networkInterfaces } from 'node:os';
import qrcode from 'qrcode';

/** IPv4 addresses of this machine on its local networks. */
export const sharedAddresses = (): string[] =>
  Object.values(networkInterfaces())
    .flatMap((addresses) => addresses ?? [])
    .filter(({ family, internal }) => family === 'IPv4' && !internal)
    .map(({ address }) => address);

/** What the terminal shows for one more device: the address, the code, and both as a QR code. */
export async function pairingText(address: string, port: number, code: string): Promise<string> {
  const url = `http://${address}:${port}/pair`;
  const picture = await qrcode.toString(`${url}#${code}`, { type: 'terminal', small: true, errorCorrectionLevel: 'L' });
  return `${picture}\nFor one more device: open ${url} and enter ${code}. The code serves once.`;
}
