import { decodePng } from './png.ts';

export interface Brightness {
  meanRed: number;
  meanGreen: number;
  meanBlue: number;
  largestGreen: number;
  largestBlue: number;
}

/** Light in a screenshot, 0..255. */
export function brightness(png: Buffer): Brightness {
  const { width, height, rgb } = decodePng(png);
  const sums = [0, 0, 0];
  const largest = [0, 0, 0];
  for (let at = 0; at < rgb.length; at += 1) {
    sums[at % 3] += rgb[at];
    if (rgb[at] > largest[at % 3]) largest[at % 3] = rgb[at];
  }
  const [meanRed, meanGreen, meanBlue] = sums.map((sum) => sum / (width * height));
  return { meanRed, meanGreen, meanBlue, largestGreen: largest[1], largestBlue: largest[2] };
}
