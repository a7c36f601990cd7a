import { decodePng } from './png.ts';

export interface Brightness {
  meanRed: number;
  meanGreen: number;
  meanBlue: number;
  largestRed: number;
  largestGreen: number;
  largestBlue: number;
}

/** Light in a screenshot, 0..255. */
export function brightness(png: Buffer): Brightness {
  const { width, height, rgb } = decodePng(png);
  const sums = [0, 0, 0];
  const largest = [0, 0, 0];
  for (let channel = 0; channel < 3; channel += 1) {
    let [sum, most] = [0, 0];
    for (let at = channel; at < rgb.length; at += 3) {
      sum += rgb[at];
      if (rgb[at] > most) most = rgb[at];
    }
    sums[channel] = sum;
    largest[channel] = most;
  }
  const [meanRed, meanGreen, meanBlue] = sums.map((sum) => sum / (width * height));
  return { meanRed, meanGreen, meanBlue, largestRed: largest[0], largestGreen: largest[1], largestBlue: largest[2] };
}
