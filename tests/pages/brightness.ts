import { inflateSync } from 'node:zlib';

export interface Brightness {
  meanRed: number;
  meanGreen: number;
  meanBlue: number;
  largestGreen: number;
  largestBlue: number;
}

/** Light in a screenshot, 0..255. Reads 8-bit RGB and RGBA pictures without interlace (PNG specification, sections 9 and 11). */
export function brightness(png: Buffer): Brightness {
  const width = png.readUInt32BE(16);
  const height = png.readUInt32BE(20);
  const colourType = png[25];
  if (png[24] !== 8 || png[28] !== 0 || (colourType !== 2 && colourType !== 6)) throw new Error('unexpected PNG');
  const size = colourType === 2 ? 3 : 4;
  const pieces: Buffer[] = [];
  for (let at = 8; at < png.length;) {
    const length = png.readUInt32BE(at);
    if (png.toString('latin1', at + 4, at + 8) === 'IDAT') pieces.push(png.subarray(at + 8, at + 8 + length));
    at += 12 + length;
  }
  const packed = inflateSync(Buffer.concat(pieces));
  const stride = width * size;
  let row = new Uint8Array(stride);
  const sums = [0, 0, 0];
  const largest = [0, 0, 0];
  for (let y = 0; y < height; y += 1) {
    const above = row;
    row = new Uint8Array(stride);
    const filter = packed[y * (stride + 1)];
    for (let x = 0; x < stride; x += 1) {
      const left = x >= size ? row[x - size] : 0;
      const guess = predict(filter, left, above[x], x >= size ? above[x - size] : 0);
      row[x] = packed[y * (stride + 1) + 1 + x] + guess;
      const channel = x % size;
      if (channel > 2) continue;
      sums[channel] += row[x];
      if (row[x] > largest[channel]) largest[channel] = row[x];
    }
  }
  const [meanRed, meanGreen, meanBlue] = sums.map((sum) => sum / (width * height));
  return { meanRed, meanGreen, meanBlue, largestGreen: largest[1], largestBlue: largest[2] };
}

function predict(filter: number, left: number, up: number, corner: number): number {
  if (filter === 0) return 0;
  if (filter === 1) return left;
  if (filter === 2) return up;
  if (filter === 3) return (left + up) >> 1;
  const estimate = left + up - corner;
  const [byLeft, byUp, byCorner] = [left, up, corner].map((value) => Math.abs(estimate - value));
  return byLeft <= byUp && byLeft <= byCorner ? left : byUp <= byCorner ? up : corner;
}
