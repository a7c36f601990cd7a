import { crc32, deflateSync, inflateSync } from 'node:zlib';

export interface Picture {
  width: number;
  height: number;
  /** Three bytes a pixel, row by row. */
  rgb: Uint8Array;
}

const signature = Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]);

/** Reads 8-bit RGB and RGBA pictures without interlace, as browsers write them (PNG specification, sections 5 and 9). */
export function decodePng(png: Buffer): Picture {
  const [width, height, colourType] = [png.readUInt32BE(16), png.readUInt32BE(20), png[25]];
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
  const rgb = new Uint8Array(width * height * 3);
  let row: Uint8Array = new Uint8Array(stride);
  for (let y = 0; y < height; y += 1) {
    const above = row;
    const from = y * (stride + 1) + 1;
    row = packed.subarray(from, from + stride);
    unfilter(packed[from - 1], row, above, size);
    for (let x = 0, to = y * width * 3; x < stride; x += size, to += 3) {
      rgb[to] = row[x];
      rgb[to + 1] = row[x + 1];
      rgb[to + 2] = row[x + 2];
    }
  }
  return { width, height, rgb };
}

/** Puts a row back in place as it was before its filter (PNG specification, section 9.2). */
function unfilter(filter: number, row: Uint8Array, above: Uint8Array, size: number): void {
  if (filter === 1) for (let x = size; x < row.length; x += 1) row[x] += row[x - size];
  else if (filter === 2) for (let x = 0; x < row.length; x += 1) row[x] += above[x];
  else if (filter === 3)
    for (let x = 0; x < row.length; x += 1) row[x] += ((x >= size ? row[x - size] : 0) + above[x]) >> 1;
  else if (filter === 4)
    for (let x = 0; x < row.length; x += 1)
      row[x] += x >= size ? paeth(row[x - size], above[x], above[x - size]) : above[x];
}

function paeth(left: number, up: number, corner: number): number {
  const estimate = left + up - corner;
  const byLeft = Math.abs(estimate - left);
  const byUp = Math.abs(estimate - up);
  const byCorner = Math.abs(estimate - corner);
  return byLeft <= byUp && byLeft <= byCorner ? left : byUp <= byCorner ? up : corner;
}

/** The same picture in its 16 commonest colours, two pixels a byte, the rest going to the nearest of them: a fraction of the size. */
export function encodeSmallPng({ width, height, rgb }: Picture): Buffer {
  const counts = new Map<number, number>();
  const colourAt = (pixel: number): number => (rgb[3 * pixel] << 16) | (rgb[3 * pixel + 1] << 8) | rgb[3 * pixel + 2];
  // most pixels are as the one before
  let run = { colour: -1, length: 0 };
  const endRun = (): void => void counts.set(run.colour, (counts.get(run.colour) ?? 0) + run.length);
  for (let pixel = 0; pixel < width * height; pixel += 1) {
    const colour = colourAt(pixel);
    if (colour === run.colour) run.length += 1;
    else {
      if (run.length > 0) endRun();
      run = { colour, length: 1 };
    }
  }
  endRun();
  const kept = [...counts].sort((a, b) => b[1] - a[1]).slice(0, 16);
  const palette = kept.map(([colour]) => [colour >> 16, (colour >> 8) & 255, colour & 255]);
  const places = new Map(kept.map(([colour], place) => [colour, place]));
  const stride = Math.ceil(width / 2) + 1;
  let [last, place] = [-1, 0];
  const rows = Buffer.alloc(stride * height);
  for (let pixel = 0; pixel < width * height; pixel += 1) {
    const colour = colourAt(pixel);
    if (colour !== last) {
      last = colour;
      place = places.get(colour) ?? nearest(palette, colour);
      places.set(colour, place);
    }
    const x = pixel % width;
    rows[Math.floor(pixel / width) * stride + 1 + (x >> 1)] |= x % 2 === 0 ? place << 4 : place;
  }
  const head = Buffer.alloc(13);
  head.writeUInt32BE(width, 0);
  head.writeUInt32BE(height, 4);
  head.set([4, 3, 0, 0, 0], 8);
  return Buffer.concat([
    signature,
    chunk('IHDR', head),
    chunk('PLTE', Buffer.from(palette.flat())),
    chunk('IDAT', deflateSync(rows, { level: 9 })),
    chunk('IEND', Buffer.alloc(0)),
  ]);
}

function nearest(palette: readonly number[][], colour: number): number {
  const wanted = [colour >> 16, (colour >> 8) & 255, colour & 255];
  const distance = (entry: readonly number[]): number =>
    entry.reduce((sum, value, channel) => sum + (value - wanted[channel]) ** 2, 0);
  return palette.reduce((best, entry, place) => (distance(entry) < distance(palette[best]) ? place : best), 0);
}

function chunk(name: string, content: Buffer): Buffer {
  const body = Buffer.concat([Buffer.from(name, 'latin1'), content]);
  const framed = Buffer.alloc(body.length + 8);
  framed.writeUInt32BE(content.length, 0);
  body.copy(framed, 4);
  framed.writeUInt32BE(crc32(body), body.length + 4);
  return framed;
}
