import type { CDPSession, Page } from 'playwright-core';
import { decodePng } from './png.ts';

export interface Brightness {
  meanRed: number;
  meanGreen: number;
  meanBlue: number;
  largestRed: number;
  largestGreen: number;
  largestBlue: number;
}

const sessions = new WeakMap<Page, Promise<CDPSession>>();

/** Light of what the window shows now, 0..255, the writing mark of a field included. */
export async function brightness(page: Page): Promise<Brightness> {
  const session = sessions.get(page) ?? page.context().newCDPSession(page);
  sessions.set(page, session);
  const { data } = await (await session).send('Page.captureScreenshot', { format: 'png', optimizeForSpeed: true });
  const { width, height, rgb } = decodePng(Buffer.from(data, 'base64'));
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
