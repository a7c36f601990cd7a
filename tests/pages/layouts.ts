import type { Page } from 'playwright-core';
import { inPage } from './browser.ts';

/** Windows that the page is made for; the last two are a phone and a laptop at 200 percent zoom. */
export const layouts = [
  ['small phone', 360, 640],
  ['phone', 390, 844],
  ['phone, lying', 844, 390],
  ['tablet', 820, 1180],
  ['laptop', 1366, 768],
  ['phone at 200 percent', 195, 422],
  ['laptop at 200 percent', 683, 384],
] as const;

/** Common practice: a phone's pixel at this width is 0.178 mm, and an arcminute at two metres 0.582 mm. */
const mmPerPixel = 0.178;
const mmPerArcmin = 2000 * Math.tan(Math.PI / 180 / 60);

export const arcmin = (pixels: number): number => (pixels * mmPerPixel) / mmPerArcmin;

/** Height of the capitals or figures that an element shows, in pixels: as the font draws them, and not of the line. */
export const glyphHeight = (page: Page, selector: string): Promise<number> =>
  inPage(
    page,
    `(() => {
      const element = document.querySelector(${JSON.stringify(selector)});
      const { fontStyle, fontWeight, fontSize, fontFamily } = getComputedStyle(element);
      const context = document.createElement('canvas').getContext('2d');
      context.font = [fontStyle, fontWeight, fontSize, fontFamily].join(' ');
      const { actualBoundingBoxAscent: up } = context.measureText(/[0-9]/.test(element.textContent[0]) ? '0' : 'H');
      return up;
    })()`,
  );

/** Which of these elements lie over one another, by the letters or lines that they show, in words. */
export const overlaps = (page: Page, selectors: readonly string[]): Promise<string[]> =>
  inPage(
    page,
    `(() => {
      const boxes = ${JSON.stringify(selectors)}.flatMap((selector) => [...document.querySelectorAll(selector)].map((element) => {
        if (!element.matches('p, h2, span')) return { selector, box: element.getBoundingClientRect() };
        const range = document.createRange();
        range.selectNodeContents(element);
        // a line is higher than its letters
        const { left, right, top, bottom, width, height } = range.getBoundingClientRect();
        const size = parseFloat(getComputedStyle(element).fontSize);
        return { selector, box: { left, right, top: top + 0.2 * size, bottom: bottom - 0.2 * size, width, height } };
      })).filter(({ box }) => box.width > 0 && box.height > 0);
      return boxes.flatMap(({ selector, box: one }, index) => boxes.slice(index + 1).flatMap(({ selector: other, box: two }) => {
        const across = Math.min(one.right, two.right) - Math.max(one.left, two.left);
        const down = Math.min(one.bottom, two.bottom) - Math.max(one.top, two.top);
        return Math.min(across, down) > 3 ? [selector + ' over ' + other + ' by ' + Math.min(across, down).toFixed(0) + ' px'] : [];
      }));
    })()`,
  );

/** What of these elements lies outside the window or is wider than its room, in words. */
export const cutOff = (page: Page, selectors: readonly string[]): Promise<string[]> =>
  inPage(
    page,
    `${JSON.stringify(selectors)}.flatMap((selector) => [...document.querySelectorAll(selector)].flatMap((element) => {
      const range = document.createRange();
      range.selectNodeContents(element);
      const box = element.matches('p, h2, span') ? range.getBoundingClientRect() : element.getBoundingClientRect();
      if (box.width === 0) return [];
      const { clientWidth, clientHeight } = document.documentElement;
      const over = Math.max(-box.left, -box.top, box.right - clientWidth, box.bottom - clientHeight);
      return over > 1 ? [selector + ' by ' + over.toFixed(0) + ' px: ' + element.textContent.slice(0, 40)] : [];
    }))`,
  );
